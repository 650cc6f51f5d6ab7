// Holds the sources to the table of modules in DEVELOPERS.md: which room may include which, which outside
// library each one hides, and what the pure ruling path must not touch.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
using Names = std::set<std::string>;

const fs::path kSource = plumbmark::test::source_folder() / "src";

struct Room {
    Names may_include;  ///< other modules
    Names hides;        ///< prefixes of outside headers
};

const std::map<std::string, Room> kRooms{
    {"base", {{}, {"fmt/"}}},
    {"course", {{"base"}, {"toml++/", "unicode/", "fmt/"}}},
    {"ruling", {{"base", "course"}, {"fmt/"}}},
    {"meet", {{"base", "course", "ruling"}, {"fmt/"}}},
    {"study", {{"base", "course", "ruling", "meet"}, {"boost/", "fmt/"}}},
    {"media", {{"base"}, {"libav", "libsw", "portaudio", "fmt/"}}},
    {"sight", {{"base"}, {"opencv2/", "boost/", "fmt/"}}},
    {"follow", {{"base", "media"}, {"opencv2/"}}},
    {"store",
     {{"base", "course", "ruling", "meet"},
      {"SQLiteCpp/", "sqlite3", "sodium", "zip.h", "nlohmann/", "fmt/"}}},
    {"report",
     {{"base", "course", "ruling", "meet", "study", "media"},
      {"pango/", "cairo", "qpdf/", "nlohmann/", "fmt/"}}},
    {"review",
     {{"base", "course", "ruling", "meet", "study", "media", "sight", "follow", "store", "report"},
      {"fmt/"}}},
    {"cli",
     {{"base", "course", "ruling", "meet", "study", "media", "sight", "follow", "store", "report", "review"},
      {"CLI/", "bsd/", "nlohmann/", "toml++/", "fmt/"}}},
    {"desk",
     {{"base", "course", "ruling", "meet", "study", "media", "sight", "follow", "store", "report", "review"},
      {"imgui", "GLFW/", "EGL/", "GL/", "GLES", "freetype", "ft2build", "fmt/"}}},
    {"main", {{"cli", "desk"}, {}}},
};

const Names kOutsidePrefixes{"fmt/",     "toml++/",   "libav",  "libsw",      "SQLiteCpp/", "sqlite3",
                             "sodium",   "nlohmann/", "pango/", "cairo",      "CLI/",       "imgui",
                             "GLFW/",    "EGL/",      "GL/",    "GLES",       "freetype",   "ft2build",
                             "opencv2/", "spdlog/",   "boost/", "rapidcheck", "portaudio",  "unicode/",
                             "qpdf/",    "zip.h",     "bsd/"};

const Names kImpure{"thread",     "mutex",  "atomic",   "future", "chrono", "random",  "fstream",
                    "filesystem", "locale", "iostream", "ctime",  "time.h", "stdio.h", "unistd.h"};
const Names kPureRooms{"course", "ruling", "meet", "study"};

struct Include {
    fs::path file;
    std::string target;
    bool quoted;
};

std::vector<Include> includes_of(const fs::path& folder) {
    static const std::regex pattern(R"rx(^\s*#\s*include\s*(["<])([^">]+)[">])rx");
    std::vector<Include> found;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        const std::string extension = entry.path().extension().string();
        if (extension != ".h" && extension != ".cpp") continue;
        std::ifstream file(entry.path());
        for (std::string line; std::getline(file, line);) {
            std::smatch match;
            if (std::regex_search(line, match, pattern))
                found.push_back({entry.path(), match[2], match[1] == "\""});
        }
    }
    return found;
}

bool starts_with_any(const std::string& text, const Names& prefixes) {
    for (const std::string& prefix : prefixes) {
        if (text.rfind(prefix, 0) == 0) return true;
    }
    return false;
}

std::string where(const Include& include) {
    return fs::relative(include.file, kSource).string() + " includes " + include.target;
}

}  // namespace

TEST_CASE("every room under src stands in the table") {
    for (const auto& entry : fs::directory_iterator(kSource)) {
        if (!entry.is_directory() || fs::is_empty(entry.path())) continue;
        INFO(entry.path());
        CHECK(kRooms.count(entry.path().filename().string()) == 1);
    }
}

TEST_CASE("a room includes only the rooms that the table allows, and nobody's internal headers") {
    for (const auto& [name, room] : kRooms) {
        if (!fs::exists(kSource / name)) continue;
        for (const Include& include : includes_of(kSource / name)) {
            if (!include.quoted) continue;
            INFO(where(include));
            const std::string target_room = include.target.substr(0, include.target.find('/'));
            REQUIRE(kRooms.count(target_room) == 1);
            if (target_room == name) continue;
            CHECK(room.may_include.count(target_room) == 1);
            CHECK(include.target.find("/internal/") == std::string::npos);
        }
    }
}

TEST_CASE("an outside library is used only by the room that hides it, and never in its public headers") {
    for (const auto& [name, room] : kRooms) {
        if (!fs::exists(kSource / name)) continue;
        for (const Include& include : includes_of(kSource / name)) {
            if (include.quoted || !starts_with_any(include.target, kOutsidePrefixes)) continue;
            INFO(where(include));
            CHECK(starts_with_any(include.target, room.hides));
            const bool public_header =
                include.file.extension() == ".h" && include.file.parent_path() == kSource / name;
            CHECK_FALSE(public_header);
        }
    }
}

TEST_CASE("the ruling path and the study of runs know no clock, file, thread, random number or locale") {
    for (const std::string& name : kPureRooms) {
        for (const Include& include : includes_of(kSource / name)) {
            INFO(where(include));
            CHECK(kImpure.count(include.target) == 0);
        }
    }
}

TEST_CASE("the sources hold no file longer than 600 lines") {
    for (const auto& entry : fs::recursive_directory_iterator(kSource)) {
        const std::string extension = entry.path().extension().string();
        if (extension != ".h" && extension != ".cpp") continue;
        std::ifstream file(entry.path());
        int lines = 0;
        for (std::string line; std::getline(file, line);)
            ++lines;
        INFO(fs::relative(entry.path(), kSource).string());
        CHECK(lines <= 600);
    }
}

TEST_CASE("the include reader sees what it should") {
    const fs::path folder = plumbmark::test::build_folder() / "architecture-probe";
    fs::create_directories(folder);
    std::ofstream(folder / "probe.cpp")
        << "#include \"store/meet_file.h\"\n  #  include <sqlite3.h>\n// #include <no>\n";
    const std::vector<Include> found = includes_of(folder);
    REQUIRE(found.size() == 2);
    CHECK(found[0].target == "store/meet_file.h");
    CHECK(found[0].quoted);
    CHECK(found[1].target == "sqlite3.h");
    CHECK_FALSE(found[1].quoted);
}
