#include "desk/test_meet.h"

#include <catch2/catch.hpp>
#include <cstdlib>

#include "review/session.h"

namespace plumbmark::test {
namespace fs = std::filesystem;

bool has_program(const std::string& name) {
    return std::system(("command -v " + name + " >/dev/null 2>&1").c_str()) == 0;
}

std::optional<fs::path> make_clip(const fs::path& folder, const std::string& name, int frames,
                                  const std::string& size) {
    if (!has_program("ffmpeg")) return std::nullopt;
    const fs::path clip = folder / name;
    const std::string command = "ffmpeg -v error -f lavfi -i testsrc2=size=" + size + ":rate=25 -frames:v " +
                                std::to_string(frames) + " -c:v libx264 -pix_fmt yuv420p -g 12 '" +
                                clip.string() + "'";
    if (std::system(command.c_str()) != 0) return std::nullopt;
    return clip;
}

std::string course_text() {
    return R"(course = "Pier Nine Youth Open, trial"
revision = "1"
format = "first fail ends"

[surfaces]
pier_deck = "pier deck"
bollard = "bollard"
quay_deck = "quay deck"
hawser = "hawser"
floor = { name = "floor", out_of_play = true }

[planes]
quay_front = "front of the quay deck"

[[station]]
key = "bollard_hop"
name = "bollard hop"
start = "pier_deck"
in_play = [ { surface = "bollard", parts = "feet" } ]
[station.landing]
surface = "quay_deck"
parts = "any foot"

[[station]]
key = "hawser_swing"
name = "hawser swing"
start = "quay_deck"
in_play = [ { surface = "hawser", parts = "hands" } ]
[station.landing]
surface = "pier_deck"
parts = "both feet"
)";
}

fs::path make_meet(const fs::path& folder, const fs::path& clip) {
    const fs::path path = folder / "trial.meet";
    auto session = review::Session::create(path, {"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"});
    REQUIRE(session);
    review::Session& s = **session;
    const auto athlete = s.add_athlete({{}, "41", "Zoë Łukasik", "Quay Club", "12-13"});
    REQUIRE(athlete);
    REQUIRE(s.add_run("run 17", *athlete));
    const auto book = s.add_book("trial.course", course_text());
    INFO((book ? std::string() : book.error().text()));
    REQUIRE(book);
    REQUIRE(s.add_clip(clip, "camera A"));
    REQUIRE(s.settle());
    REQUIRE(s.put_drawing(meet::DrawingKind::surface, "quay_deck",
                          {{100, 200}, {300, 200}, {320, 330}, {80, 330}}, {}));
    REQUIRE(s.put_drawing(meet::DrawingKind::plane, "quay_front", {{90, 100}, {90, 340}}, {{200, 220}}));
    REQUIRE(s.settle());
    return path;
}

}  // namespace plumbmark::test
