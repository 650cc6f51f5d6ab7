// The built program, run from a shell, and the sample meet's folder.
#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "support/run_program.h"
#include "support/test_places.h"

namespace plumbmark::test {

inline const std::string kProgram = (test::build_folder() / "plumbmark").string();
inline const std::string kSamples = (test::source_folder() / "sample_clips").string();

/// What it prints on both of its outputs, and how it ends.
inline Answer run(const std::string& arguments) {
    return run_line("'" + kProgram + "' " + arguments + " 2>&1");
}

/// What it prints; it must end with 0.
inline std::string good(const std::string& arguments) {
    const Answer answer = run(arguments);
    INFO(arguments << "\n" << answer.words);
    REQUIRE(answer.code == 0);
    return answer.words;
}

inline bool has(const std::string& text, const std::string& words) {
    INFO(text);
    return text.find(words) != std::string::npos;
}

}  // namespace plumbmark::test
