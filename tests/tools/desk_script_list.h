// A list of what is done to the desk's window, as docs/desk-script.md lays it down.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"

namespace plumbmark::script {

/// A step before the window opens: files of the project that are copied, or a program that runs.
struct Preparation {
    int line = 0;
    std::filesystem::path copy;        ///< from the project's folder; a folder: all that is in it
    std::vector<std::string> command;  ///< a program that was built, by its name, or one of the system
};

/// What a program prints about the meet file afterwards.
struct Expectation {
    int line = 0;
    std::vector<std::string> command;  ///< prints JSON
    std::string pointer;               ///< into it (RFC 6901)
    std::string value;                 ///< JSON
};

/// Something that is done to the window, in the words of tests/desk/drive_window.sh.
struct Step {
    int line = 0;
    std::string word, rest;
};

struct Script {
    std::string window = "1366x768";
    std::vector<std::string> environment;  ///< NAME=VALUE
    std::vector<Preparation> preparations;
    std::vector<std::string> program;
    std::vector<Step> steps;
    std::vector<Expectation> expectations;
    std::int64_t most_keys = -1;  ///< that may be pressed; -1: any number
};

struct Count {
    std::int64_t keys = 0, clicks = 0, moves = 0, pictures = 0;
};

/// Errors: io (cannot be read), bad_input with the line and what is expected there.
[[nodiscard]] base::Result<Script> read_script(const std::filesystem::path& file);

/// A key with its modifiers is one press, and so is each character that is typed.
[[nodiscard]] Count count_of(const Script& script);
[[nodiscard]] std::string words_of(const Count& count);

/// The steps for drive_window.sh; pictures go into the folder.
[[nodiscard]] std::string events_of(const Script& script, const std::filesystem::path& pictures);

}  // namespace plumbmark::script
