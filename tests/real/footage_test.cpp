// Real footage, read in place: marks that were made by stepping through the frames (tests/real/README.md),
// brought to a ruling.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <iostream>

#include "review/exchange.h"
#include "review/session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
namespace meet = plumbmark::meet;
using plumbmark::review::Session;
using plumbmark::ruling::Verdict;
using plumbmark::test::bytes_of;
using plumbmark::test::TemporaryFolder;

const fs::path kHere = plumbmark::test::source_folder() / "tests" / "real";
const fs::path kClips = plumbmark::test::shared_folder() / "clips";

bool footage_is_here() {
    if (fs::exists(kClips / "motion" / "gym-four-cameras" / "cam01.mp4")) return true;
    std::cout << "skipped: the shared footage is not beside the project\n";
    return false;
}

plumbmark::store::MarksText marks_of(const std::string& name) {
    auto text = plumbmark::store::read_marks(bytes_of(kHere / name));
    INFO((text.ok() ? "" : text.error().text()));
    REQUIRE(text.ok());
    return *text;
}

/// The verdict of the only station, with the clips' row delay stated.
Verdict rule(const std::string& book, const std::string& marks,
             std::optional<plumbmark::base::Duration> row_delay) {
    const TemporaryFolder folder;
    const plumbmark::store::MarksText text = marks_of(marks);
    auto session = Session::create(folder / "real.meet", {"Pier Nine Youth Open, trial", "", ""});
    REQUIRE(session.ok());
    REQUIRE((*session)->add_book(book, bytes_of(kHere / book)).ok());
    for (const auto& clip : text.clips) {
        auto added = (*session)->add_clip(kClips / clip.file, clip.key);
        REQUIRE(added.ok());
        const meet::Clip before = (*session)->state().clips().at(*added);
        meet::Clip after = before;
        after.row_delay = row_delay;
        if (row_delay) REQUIRE((*session)->apply({"row delay", {{before, after}}, 0}).ok());
    }
    REQUIRE((*session)->settle().ok());
    REQUIRE(plumbmark::review::take_in_marks(**session, text).ok());
    REQUIRE((*session)->settle().ok());
    const auto& view = (*session)->ruling();
    INFO((view.error ? view.error->text() : ""));
    REQUIRE(view.ruling != nullptr);
    return view.ruling->stations.at(0).verdict;
}

/// The record takes each picture as of one instant: the cameras' read-out time is not published.
constexpr plumbmark::base::Duration kWholePicture{0};

}  // namespace

TEST_CASE("each foot contact of the gym take is bracketed on four cameras that agree with each other") {
    // The cameras are synchronous (Pose2Sim demo data): the brackets of one contact must share an instant.
    const auto text = marks_of("gym.marks.json");
    int contacts = 0;
    for (const meet::Mark& mark : text.marks) {
        const bool contact = mark.alternatives.front().kind == meet::EventKind::touch ||
                             mark.alternatives.front().kind == meet::EventKind::release;
        if (!contact || mark.possible || mark.sightings.size() < 2) continue;
        std::int64_t latest_early = -1;
        std::int64_t earliest_late = 1'000'000;
        for (const meet::Sighting& seen : mark.sightings) {
            REQUIRE(seen.early);
            REQUIRE(seen.late);
            latest_early = std::max(latest_early, seen.early->number);
            earliest_late = std::min(earliest_late, seen.late->number);
        }
        CHECK(latest_early < earliest_late);
        CHECK(earliest_late - latest_early <= 3);
        ++contacts;
    }
    CHECK(contacts >= 2);
}

TEST_CASE("the step on the beam is clear with all cameras, and with two of which neither is enough") {
    if (!footage_is_here()) return;
    CHECK(rule("gym.course", "gym.marks.json", kWholePicture) == Verdict::clear);
    CHECK(rule("gym.course", "gym-cam02-cam03.marks.json", kWholePicture) == Verdict::clear);
}

TEST_CASE("no single camera of the gym take shows that the step was clear") {
    if (!footage_is_here()) return;
    const std::string camera = GENERATE("gym-cam01", "gym-cam02", "gym-cam03", "gym-cam04");
    CHECK(rule("gym.course", camera + ".marks.json", kWholePicture) == Verdict::not_shown);
}

TEST_CASE("with the plate out of play the toes that no camera shows leave the ruling open") {
    if (!footage_is_here()) return;
    CHECK(rule("gym-strict.course", "gym.marks.json", kWholePicture) == Verdict::not_shown);
}

TEST_CASE("all six walkers of the long clip pass the seam") {
    if (!footage_is_here()) return;
    const std::string number = GENERATE("1", "2", "3", "4", "5", "6");
    CHECK(rule("walkers.course", "walkers-" + number + ".marks.json", kWholePicture) == Verdict::clear);
}
