// The desk drawn without a display.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdint>
#include <iostream>
#include <iterator>
#include <set>

#include "desk/desk.h"
#include "desk/test_meet.h"
#include "review/session.h"
#include "support/agreed_meet.h"
#include "support/file_bytes.h"

using namespace plumbmark;
namespace fs = std::filesystem;
using test::bytes_of;

namespace {

/// Width and height as a PNG's header gives them (ISO/IEC 15948, clause 11.2.2: big-endian at bytes 16 and
/// 20).
std::pair<int, int> png_size(const std::string& png) {
    const auto number = [&](std::size_t at) {
        int value = 0;
        for (std::size_t i = 0; i < 4; ++i)
            value = value << 8 | static_cast<std::uint8_t>(png[at + i]);
        return value;
    };
    return {number(16), number(20)};
}

bool skipped_for(const base::Result<void>& drawn) {
    if (drawn || drawn.error().category != base::Category::unsupported) return false;
    std::cout << "skipped: " << drawn.error().text() << "\n";
    return true;
}

}  // namespace

TEST_CASE(
    "the desk is drawn without a display: the right size, not blank, the same bytes twice, themes differ") {
    const test::TemporaryFolder folder;
    // Of a camera that stood still: where a drawing is lost is drawn as far as it has been found by then.
    const fs::path meet_file = test::agreed_samples(folder / "samples");
    desk::DeskPictureOptions options;
    options.width = 1366;
    options.height = 768;
    options.frame = 20;
    const fs::path first = folder.path() / "1.png", second = folder.path() / "2.png",
                   other = folder.path() / "3.png";
    const auto drawn = desk::draw_desk_picture(meet_file, first, options);
    if (skipped_for(drawn)) return;
    INFO((drawn ? std::string() : drawn.error().text()));
    REQUIRE(drawn);
    REQUIRE(desk::draw_desk_picture(meet_file, second, options));
    const std::string png = bytes_of(first);
    CHECK(png_size(png) == std::pair(1366, 768));
    CHECK(png == bytes_of(second));
    // A blank picture of this size packs into a few kilobytes; words, lines and a test picture do not.
    CHECK(png.size() > 40'000);

    options.theme = desk::Theme::light;
    REQUIRE(desk::draw_desk_picture(meet_file, other, options));
    CHECK(bytes_of(other) != png);
    options.theme = desk::Theme::dark;
    options.frame = 21;
    REQUIRE(desk::draw_desk_picture(meet_file, other, options));
    CHECK(bytes_of(other) != png);
}

TEST_CASE("the file is only read when the desk is drawn from it") {
    const test::TemporaryFolder folder;
    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 10);
    if (!clip) {
        std::cout << "skipped: the program ffmpeg is not installed\n";
        return;
    }
    const fs::path meet_file = test::make_meet(folder.path(), *clip);
    const std::string before = bytes_of(meet_file);
    const auto drawn = desk::draw_desk_picture(meet_file, folder.path() / "desk.png", {});
    if (skipped_for(drawn)) return;
    REQUIRE(drawn);
    CHECK(bytes_of(meet_file) == before);
}

TEST_CASE("a picture of the desk that cannot be drawn says what is wrong") {
    const test::TemporaryFolder folder;
    const fs::path png = folder.path() / "desk.png";
    desk::DeskPictureOptions options;
    options.width = 10;
    CHECK(desk::draw_desk_picture(folder.path() / "none.meet", png, options).error().text() ==
          "A picture of the desk is 320 to 16384 pixels wide and high.");
    const auto none = desk::draw_desk_picture(folder.path() / "none.meet", png, {});
    if (skipped_for(none)) return;
    CHECK(none.error().category == base::Category::not_found);

    const auto clip = test::make_clip(folder.path(), "camera-a.mp4", 10);
    if (!clip) return;
    const fs::path meet_file = test::make_meet(folder.path(), *clip);
    options = {};
    options.frame = 10;
    CHECK(desk::draw_desk_picture(meet_file, png, options).error().text() == "The clip has frames 0 to 9.");
    options = {};
    options.clip = "camera B";
    CHECK(desk::draw_desk_picture(meet_file, png, options).error().text() ==
          "The run has no clip 'camera B'.");
    CHECK_FALSE(fs::exists(png));
}
