// A picture of the desk is a file that may leave the meet: faces in it are hidden by the consent of the
// athletes, and what was covered by hand always is.
#include <algorithm>
#include <catch2/catch.hpp>
#include <iostream>

#include "desk/desk.h"
#include "desk/internal/reading.h"
#include "desk/test_meet.h"
#include "review/session.h"
#include "sight/faces.h"
#include "support/decoded_picture.h"
#include "support/face_clip.h"
#include "support/file_bytes.h"

using namespace plumbmark;
namespace fs = std::filesystem;
using test::bytes_of;

namespace {

constexpr int kWidth = 1366, kHeight = 768;

/// The drawn one is some 290 pixels wide there; what the desk writes is taken for smaller faces.
bool shows_a_face(const fs::path& png) {
    media::RgbaImage image = test::decoded_picture(png);
    auto finder = sight::FaceFinder::open();
    REQUIRE(finder.ok());
    const auto found = finder->find({image.pixels.data(), image.width, image.height});
    return std::any_of(found.begin(), found.end(), [](const sight::Box& box) { return box.width > 200; });
}

/// A meet on a clip of one face, whose only run hangs on an athlete's entry.
struct Trial {
    test::TemporaryFolder folder;
    fs::path file, png = folder / "desk.png";

    bool make() {
        const auto clip = test::clip_of(test::drawn_face(640, 360, 320, 180, 80), folder.path());
        if (clip) file = test::make_meet(folder.path(), *clip);
        return clip.has_value();
    }
    void change(const std::function<meet::Change(const meet::State&)>& made) const {
        auto session = review::Session::open(file);
        REQUIRE(session.ok());
        REQUIRE((*session)->settle().ok());
        const auto done = (*session)->apply(made((*session)->state()));
        INFO((done.ok() ? "" : done.error().text()));
        REQUIRE(done.ok());
        REQUIRE((*session)->settle().ok());
    }
    void enter_athlete() const {
        change([](const meet::State& state) {
            const meet::Athlete athlete{
                {state.next_id(meet::Kind::athlete)}, "23", "Jonna Pohl", "Quay Club", ""};
            meet::Round round;
            round.id = {state.next_id(meet::Kind::round)};
            round.name = "Final";
            meet::Entry entry;
            entry.id = {state.next_id(meet::Kind::entry)};
            entry.athlete = athlete.id;
            entry.round = round.id;
            const meet::Run before = state.runs().begin()->second;
            meet::Run run = before;
            run.entry = entry.id;
            return meet::Change{
                "enter",
                {{std::nullopt, athlete}, {std::nullopt, round}, {std::nullopt, entry}, {before, run}},
                0};
        });
    }
    void consent(meet::Consent given) const {
        change([given](const meet::State& state) {
            const meet::Entry& entry = state.entries().begin()->second;
            const meet::Athlete before = state.athletes().at(entry.athlete);
            meet::Athlete after = before;
            after.consent = given;
            return meet::Change{"consent", {{before, after}}, 0};
        });
    }
    /// False where there is nothing to draw with.
    bool draw() const {
        desk::DeskPictureOptions options;
        options.width = kWidth;
        options.height = kHeight;
        options.frame = 20;
        const auto drawn = desk::draw_desk_picture(file, png, options);
        if (!drawn && drawn.error().category == base::Category::unsupported) {
            std::cout << "skipped: " << drawn.error().text() << "\n";
            return false;
        }
        INFO((drawn ? std::string() : drawn.error().text()));
        REQUIRE(drawn.ok());
        return true;
    }
};

}  // namespace

TEST_CASE("a picture of the desk shows a face only where the athlete of the run's entry agreed") {
    Trial trial;
    if (!trial.make()) return;
    trial.enter_athlete();
    if (!trial.draw()) return;
    CHECK_FALSE(shows_a_face(trial.png));
    for (const meet::Consent now : {meet::Consent::refused, meet::Consent::given, meet::Consent::unknown}) {
        trial.consent(now);
        REQUIRE(trial.draw());
        CHECK(shows_a_face(trial.png) == (now == meet::Consent::given));
    }
}

TEST_CASE("a place that was covered by hand is hidden in a picture of the desk, whatever the consent") {
    Trial trial;
    if (!trial.make()) return;
    trial.enter_athlete();
    trial.consent(meet::Consent::given);
    if (!trial.draw()) return;
    REQUIRE(shows_a_face(trial.png));
    trial.change([](const meet::State& state) {
        meet::Cover cover;
        cover.id = {state.next_id(meet::Kind::cover)};
        cover.clip = state.clips().begin()->first;
        cover.first = {20, 20};
        cover.last = {20, 20};
        cover.box = {0.3, 0.1, 0.4, 0.8};
        return meet::Change{"cover", {{std::nullopt, cover}}, 0};
    });
    REQUIRE(trial.draw());
    CHECK_FALSE(shows_a_face(trial.png));
}

TEST_CASE("a run that hangs on its entry is named with that athlete's number") {
    Trial trial;
    if (!trial.make()) return;
    trial.enter_athlete();
    auto session = review::Session::open(trial.file);
    REQUIRE(session.ok());
    CHECK(desk::run_words(**session, (*session)->run()).find("bib 23") != std::string::npos);
}
