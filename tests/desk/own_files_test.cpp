// What the desk keeps of a person between two openings.
#include "desk/own_files.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>

#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using namespace plumbmark::desk;
namespace fs = std::filesystem;

TEST_CASE("preferences are written and read back the same, and what is not named is as usual") {
    for (const Preferences& kept : {Preferences{}, Preferences{Theme::high_contrast, 1.3, false, true, true},
                                    Preferences{Theme::light, 3, true, false, true, false, "de"}}) {
        const auto read = read_preferences(write_preferences(kept), "preferences.txt");
        REQUIRE(read);
        CHECK(*read == kept);
    }
    const auto one = read_preferences("# mine\n\n size = 2 # large\n", "preferences.txt");
    REQUIRE(one);
    CHECK(*one == Preferences{Theme::dark, 2, true, false, false});
    CHECK(write_preferences({}).find("language = automatic") != std::string::npos);
}

TEST_CASE("a preference that does not fit says its line, what was found and what is expected") {
    const auto wrong = [](const char* text) {
        return read_preferences(text, "preferences.txt").error().text();
    };
    CHECK(wrong("size = 1\ntheme = pink") ==
          "preferences.txt, line 2: 'theme = pink' is not understood; expected dark or light or high "
          "contrast.");
    CHECK(wrong("size = 9") ==
          "preferences.txt, line 1: 'size = 9' is not understood; expected a number from 0.5 to 3.");
    CHECK(wrong("size = nan").find("a number from 0.5 to 3") != std::string::npos);
    CHECK(wrong("loudness = 3").find("one of theme, size") != std::string::npos);
    CHECK(wrong("language = xx").find("expected automatic or en or de.") != std::string::npos);
    CHECK(wrong("theme").find("'name = value'") != std::string::npos);
}

TEST_CASE("the meets that were open stand newest first, none twice, no more than a dozen") {
    std::vector<fs::path> list;
    for (int n = 0; n < 20; ++n)
        list = with_recent(list, "/meets/" + std::to_string(n) + ".meet");
    list = with_recent(list, "/meets/15.meet");
    REQUIRE(list.size() == 12);
    CHECK(list[0] == "/meets/15.meet");
    CHECK(list[1] == "/meets/19.meet");
    CHECK(std::count(list.begin(), list.end(), "/meets/15.meet") == 1);
    const test::TemporaryFolder folder;
    const fs::path file = folder / "deep" / "recent.txt";
    REQUIRE(keep_file(file, write_recent(list)));
    CHECK(read_recent(file) == list);
    CHECK(read_recent(folder / "none.txt").empty());
}

TEST_CASE("a file is kept whole or not at all") {
    const test::TemporaryFolder folder;
    const fs::path file = folder / "kept.txt";
    REQUIRE(keep_file(file, "first"));
    REQUIRE(keep_file(file, "second"));
    CHECK(test::bytes_of(file) == "second");
    // A folder stands where the file should go: nothing is left beside it.
    fs::create_directory(folder / "taken");
    test::write_bytes(folder / "taken" / "x", "");
    const auto kept = keep_file(folder / "taken", "text");
    REQUIRE_FALSE(kept);
    CHECK(kept.error().category == base::Category::io);
    CHECK(std::distance(fs::directory_iterator(folder.path()), {}) == 2);
}

// XDG Base Directory Specification 0.8: the variables and their defaults; a relative path is ignored.
TEST_CASE("the folders are those of the base directory specification") {
    const auto with = [](const char* config, const char* state) {
        ::setenv("HOME", "/home/somebody", 1);
        config ? ::setenv("XDG_CONFIG_HOME", config, 1) : ::unsetenv("XDG_CONFIG_HOME");
        state ? ::setenv("XDG_STATE_HOME", state, 1) : ::unsetenv("XDG_STATE_HOME");
        return std::pair(config_folder(), state_folder());
    };
    CHECK(with(nullptr, nullptr) == std::pair<fs::path, fs::path>("/home/somebody/.config/plumbmark",
                                                                  "/home/somebody/.local/state/plumbmark"));
    CHECK(with("/c", "/s") == std::pair<fs::path, fs::path>("/c/plumbmark", "/s/plumbmark"));
    CHECK(with("relative", "") == std::pair<fs::path, fs::path>("/home/somebody/.config/plumbmark",
                                                                "/home/somebody/.local/state/plumbmark"));
}
