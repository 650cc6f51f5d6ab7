// Real key presses for the real window, through drive_window.sh.
#pragma once

#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>

#include "desk/test_meet.h"
#include "support/test_places.h"

namespace plumbmark::test {

/// False, and says so, where a program for it is missing.
inline bool can_drive() {
    for (const char* name : {"Xvfb", "xdotool", "ffmpeg"})
        if (!has_program(name)) {
            std::cout << "skipped: the program " << name << " is not installed\n";
            return false;
        }
    return true;
}

/// Plays the script to the window that the test of that name opens (window_test.cpp); the driver's exit code.
inline int drive(const std::filesystem::path& folder, const std::string& environment,
                 const std::string& script) {
    const std::filesystem::path file = folder / "script.txt";
    std::ofstream(file) << script;
    const std::string driver = (test::source_folder() / "tests/desk/drive_window.sh").string();
    const std::string self = std::filesystem::read_symlink("/proc/self/exe").string();
    // On LeakSanitizer: the graphics driver keeps memory of its own to the end.
    const std::string command =
        environment + " DBUS_SESSION_BUS_ADDRESS=unix:path=/nonexistent ASAN_OPTIONS=detect_leaks=0 '" +
        driver + "' 1280x760 '" + self + "' '[desk-window]' < '" + file.string() + "' > '" +
        (folder / "log.txt").string() + "' 2>&1";
    const int status = std::system(command.c_str());
    std::ifstream log(folder / "log.txt");
    const std::string text((std::istreambuf_iterator<char>(log)), {});
    UNSCOPED_INFO(text);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace plumbmark::test
