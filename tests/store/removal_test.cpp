// Whatever goes from a meet takes its rows of every table with it: one that is left behind refers to nothing,
// and SQLite refuses the whole change.
#include <catch2/catch.hpp>
#include <filesystem>
#include <set>

#include "meet/random_changes.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"

namespace plumbmark {
namespace {

using store::MeetFile;

std::filesystem::path memory() {
    return std::filesystem::exists("/dev/shm") ? "/dev/shm" : "/tmp";
}

TEST_CASE("a clip with all that is known of it goes and comes back with undo") {
    const test::TemporaryFolder folder(memory());
    const auto path = folder / "a.meet";
    meet::Clip clip;
    clip.id = {1};
    clip.name = "camera A";
    clip.streams = {1, 1};
    clip.content = meet::ClipContent{std::string(64, 'c'), 5};
    clip.capture = {{{0, 0}, meet::Pace::unknown, {}}};
    clip.slowed = meet::Rates{{240, 1}, {30, 1}};
    clip.picture = meet::ClipPicture{1920, 1080, 1};
    clip.repeated = {{{3, 30}, 5, false}};
    meet::CameraLens lens;
    lens.id = {1};
    lens.camera = "phone at the pier end";
    lens.width = lens.height = 100;
    lens.fx = lens.fy = 90;
    meet::CameraStand stand;
    stand.id = {1};
    stand.clip = {1};
    stand.knowledge = meet::LensKnown::measured;
    stand.lens = {1};
    const meet::PlanPlace one{meet::DrawingKind::surface, "coil_deck", 0};
    const meet::PlanPlace other{meet::DrawingKind::surface, "coil_deck", 1};
    stand.points = {{one, {1, 2}, 1}};
    stand.edges = {{one, other, {{1, 2}, {3, 4}}, 1}, {other, one, {{5, 6}}, 1}};
    const meet::Change coming{"come", {{std::nullopt, clip}, {std::nullopt, lens}, {std::nullopt, stand}}, 0};
    REQUIRE(MeetFile::create(path, {"Pier Nine Youth Open", "", ""}).ok());
    auto file = MeetFile::open(path);
    REQUIRE(file.ok());
    for (const meet::Change& change : {coming, meet::inverse(coming), coming}) {
        (void)file->submit(change);
        const auto written = file->flush();
        INFO((written ? std::string() : written.error().text()));
        REQUIRE(written.ok());
        REQUIRE(store::verify_chain(path)->whole);
    }
    meet::CameraStand fewer = stand;
    fewer.points.clear();
    fewer.edges = {{other, one, {{7, 8}}, 2}};
    (void)file->submit({"fewer", {{stand, fewer}}, 0});
    REQUIRE(file->flush().ok());
    REQUIRE(store::verify_chain(path)->whole);
    store::OpenOptions reading;
    reading.read_only = true;
    CHECK(MeetFile::open(path, reading)->loaded().stands().at({1}) == fewer);
}

TEST_CASE("random things of every kind go from the file as they go from the state") {
    std::set<meet::Kind> gone;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        CAPTURE(seed);
        const test::TemporaryFolder folder(memory());
        const auto path = folder / "a.meet";
        REQUIRE(MeetFile::create(path, {"Pier Nine Youth Open", "", ""}).ok());
        auto file = MeetFile::open(path);
        REQUIRE(file.ok());
        meet::State state = file->loaded();
        test::RandomChanges random(seed);
        for (int i = 0; i < 120; ++i) {
            const meet::Change change = random.next(state);
            REQUIRE(state.apply(change).ok());
            for (const meet::Edit& edit : change.edits) {
                if (!edit.after) gone.insert(edit.key().kind);
            }
            (void)file->submit(change);
        }
        const auto written = file->flush();
        INFO((written ? std::string() : written.error().text()));
        REQUIRE(written.ok());
    }
    CHECK(gone.size() == meet::kKinds - 2);  // what is single never goes
}

}  // namespace
}  // namespace plumbmark
