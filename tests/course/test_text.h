// The project's own text files, for tests.
#pragma once

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>

#include "support/test_places.h"

inline std::string file_text(const std::string& path) {
    std::ifstream in(plumbmark::test::source_folder() / path, std::ios::binary);
    INFO(path);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}
