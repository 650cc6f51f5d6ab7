// The session behind the window: marks on exact frames, one change a command, undo and redo, and what stays
// after closing.
#include "review/session.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "review/exchange.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
namespace meet = plumbmark::meet;
using plumbmark::course::Part;
using plumbmark::review::Session;
using plumbmark::test::bytes_of;
using plumbmark::test::TemporaryFolder;

const fs::path kSamples = plumbmark::test::source_folder() / "sample_clips";

std::unique_ptr<Session> session_with_clip(const TemporaryFolder& folder) {
    auto session =
        Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
    REQUIRE(session.ok());
    REQUIRE((*session)->add_book("pier-nine.course", bytes_of(kSamples / "pier-nine.course")).ok());
    REQUIRE((*session)->add_clip(kSamples / "run-2-a.mp4").ok());
    REQUIRE((*session)->settle().ok());
    return std::move(*session);
}

meet::Event touch(Part part, const std::string& surface) {
    meet::Event event;
    event.part = part;
    event.surface = surface;
    return event;
}

meet::MarkId mark_at(Session& session, std::int64_t frame, const meet::Event& event) {
    session.go_to_frame(frame);
    REQUIRE(session.settle().ok());
    auto id = session.mark(event);
    INFO((id.ok() ? "" : id.error().text()));
    REQUIRE(id.ok());
    return *id;
}

}  // namespace

TEST_CASE("one key press at a frame brackets the event between the frame before and it") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    const meet::MarkId id = mark_at(*session, 42, touch(Part::left_foot, "coil_deck"));
    const meet::Sighting& seen = session->state().marks().at(id).sightings.front();
    REQUIRE(seen.early);
    REQUIRE(seen.late);
    CHECK(seen.early->number == 41);
    CHECK(seen.late->number == 42);
    CHECK(seen.late->pts == (*session->current_clip()->table)[42].pts);
}

TEST_CASE("at the first frame the bracket reaches back before the clip") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    const meet::MarkId id = mark_at(*session, 0, touch(Part::left_foot, "coil_deck"));
    CHECK_FALSE(session->state().marks().at(id).sightings.front().early);
}

TEST_CASE("the ends of a bracket move by frames and never cross") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    const meet::MarkId id = mark_at(*session, 42, touch(Part::left_foot, "coil_deck"));
    REQUIRE(session->move_early(-3).ok());
    REQUIRE(session->move_late(2).ok());
    const auto seen = [&] { return session->state().marks().at(id).sightings.front(); };
    CHECK(seen().early->number == 38);
    CHECK(seen().late->number == 44);
    CHECK_FALSE(session->move_early(6).ok());
    CHECK(seen().early->number == 38);
    REQUIRE(session->move_late(10'000).ok());
    CHECK_FALSE(seen().late);
    REQUIRE(session->move_late(-1).ok());
    CHECK(seen().late->number == session->current_clip()->table->size() - 1);
}

TEST_CASE("a drawing belongs to the frame it was made on and marks as text carry that frame") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    session->go_to_frame(17);
    const std::vector<std::array<double, 2>> points{{1, 1}, {5, 1}, {5, 5}};
    const auto id = session->put_drawing(meet::DrawingKind::surface, "coil_deck", points, {});
    REQUIRE(id.ok());
    const auto still = [&] { return session->state().drawings().at(*id).still; };
    REQUIRE(still());
    CHECK(still()->number == 17);
    CHECK(still()->pts == (*session->current_clip()->table)[17].pts);
    const auto text = plumbmark::review::give_out_marks(*session);
    REQUIRE(text.ok());
    REQUIRE(text->drawings.size() == 1);
    CHECK(text->drawings[0].still == meet::FrameRef{17, 0});
    session->go_to_frame(30);
    REQUIRE(session->put_drawing(meet::DrawingKind::surface, "coil_deck", {{2, 1}, {6, 1}, {6, 5}}, {}).ok());
    CHECK(still()->number == 30);
    REQUIRE(plumbmark::review::take_in_marks(*session, *text).ok());
    CHECK(still()->number == 17);
    CHECK(still()->pts == (*session->current_clip()->table)[17].pts);
    auto beyond = *text;
    beyond.drawings[0].still->number = 100'000;
    CHECK_FALSE(plumbmark::review::take_in_marks(*session, beyond).ok());
}

TEST_CASE("what a mark points at and had measured goes out as text and comes in again on exact frames") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    const meet::MarkId id = mark_at(*session, 42, touch(Part::left_foot, "coil_deck"));
    const meet::Mark mark = session->state().marks().at(id);
    const auto& table = *session->current_clip()->table;
    const meet::ClipId clip = session->clip();
    meet::Mark measured = mark;
    measured.pointed = {{clip, {41, table[41].pts}, {412.0625, 1.0 / 3}},
                        {clip, {43, table[43].pts}, {1, 2}}};
    measured.measured = meet::MeasuredMoment{clip, {41, table[41].pts}, {9'500'000}, {13'250'001}};
    REQUIRE(session->apply({"measure", {{mark, measured}}, 0}).ok());
    const auto text = plumbmark::review::give_out_marks(*session);
    REQUIRE(text.ok());
    REQUIRE(text->marks.size() == 1);
    CHECK(text->marks[0].pointed[1] == meet::Pointed{{0}, {43, 0}, {1, 2}});
    CHECK(text->marks[0].measured == meet::MeasuredMoment{{0}, {41, 0}, {9'500'000}, {13'250'001}});
    REQUIRE(session->undo().ok());
    REQUIRE(session->undo().ok());
    REQUIRE(session->state().marks().empty());
    const auto read = plumbmark::store::read_marks(plumbmark::store::write_marks(*text));
    REQUIRE(read.ok());
    REQUIRE(plumbmark::review::take_in_marks(*session, *read).ok());
    meet::Mark back = session->state().marks().begin()->second;
    back.id = id;
    CHECK(back == measured);
    auto beyond = *read;
    beyond.marks[0].pointed[0].frame.number = 100'000;
    CHECK_FALSE(plumbmark::review::take_in_marks(*session, beyond).ok());
    beyond = *read;
    beyond.marks[0].measured->frame.number = 100'000;
    CHECK_FALSE(plumbmark::review::take_in_marks(*session, beyond).ok());
}

TEST_CASE("every command can be undone and redone, in order, and leaves nothing behind") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    const meet::State before = session->state();
    const meet::MarkId id = mark_at(*session, 42, touch(Part::left_foot, "coil_deck"));
    REQUIRE(session->toggle_possible().ok());
    REQUIRE(session->set_note("seen from the side").ok());
    REQUIRE(session->watch(10, 60, {}).ok());
    REQUIRE(session->put_drawing(meet::DrawingKind::surface, "coil_deck", {{1, 1}, {5, 1}, {5, 5}}, {}).ok());
    const meet::State after = session->state();
    int undone = 0;
    while (!(session->state().marks() == before.marks() && session->state().watched().empty())) {
        REQUIRE(session->undo().ok());
        ++undone;
    }
    CHECK(undone == 5);
    CHECK(session->state().drawings().empty());
    while (session->redo_label())
        REQUIRE(session->redo().ok());
    CHECK(session->state().marks() == after.marks());
    CHECK(session->state().watched() == after.watched());
    CHECK(session->state().drawings() == after.drawings());
    CHECK(session->state().marks().at(id).possible);
}

TEST_CASE("what was marked is there after closing and opening again, and is solid") {
    TemporaryFolder folder;
    meet::State kept;
    {
        auto session = session_with_clip(folder);
        const meet::MarkId id = mark_at(*session, 42, touch(Part::left_foot, "coil_deck"));
        REQUIRE(session->flush().ok());
        CHECK(session->solid({meet::Kind::mark, id.value}));
        CHECK(session->all_solid());
        kept = session->state();
    }
    auto again = Session::open(folder / "trial.meet");
    REQUIRE(again.ok());
    CHECK((*again)->state() == kept);
}

TEST_CASE("a surface that the course book does not declare cannot be marked") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    session->go_to_frame(5);
    REQUIRE(session->settle().ok());
    const auto id = session->mark(touch(Part::left_foot, "bollard_9"));
    REQUIRE_FALSE(id.ok());
    CHECK(id.error().sentence == "The course book declares no surface 'bollard_9'.");
}

TEST_CASE("a clip whose content changed is refused and its marks are kept") {
    TemporaryFolder folder;
    fs::copy_file(kSamples / "run-2-a.mp4", folder / "clip.mp4");
    {
        auto session = Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "", ""});
        REQUIRE(session.ok());
        REQUIRE((*session)->add_book("pier-nine.course", bytes_of(kSamples / "pier-nine.course")).ok());
        REQUIRE((*session)->add_clip(folder / "clip.mp4").ok());
        REQUIRE((*session)->settle().ok());
        (void)mark_at(**session, 42, touch(Part::left_foot, "coil_deck"));
        REQUIRE((*session)->settle().ok());
    }
    fs::copy_file(kSamples / "run-1-a.mp4", folder / "clip.mp4", fs::copy_options::overwrite_existing);
    auto session = Session::open(folder / "trial.meet");
    REQUIRE(session.ok());
    REQUIRE((*session)->settle().ok());
    for (int i = 0; i < 2000 && !(*session)->current_clip()->error; ++i)
        REQUIRE((*session)->settle().ok());
    REQUIRE((*session)->current_clip()->error);
    CHECK((*session)->current_clip()->error->category == plumbmark::base::Category::damaged);
    CHECK((*session)->state().marks().size() == 1);
}

TEST_CASE("marks given out as text and taken in again are the same marks") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    (void)mark_at(*session, 42, touch(Part::left_foot, "coil_deck"));
    REQUIRE(session->watch(10, 60, {}).ok());
    auto given = plumbmark::review::give_out_marks(*session);
    REQUIRE(given.ok());
    auto read = plumbmark::store::read_marks(plumbmark::store::write_marks(*given));
    REQUIRE(read.ok());
    REQUIRE(plumbmark::review::take_in_marks(*session, *read).ok());
    REQUIRE(session->state().marks().size() == 2);
    const meet::Mark& first = session->state().marks().begin()->second;
    const meet::Mark& second = session->state().marks().rbegin()->second;
    CHECK(first.sightings == second.sightings);
    CHECK(first.alternatives == second.alternatives);
    CHECK(session->state().watched().size() == 2);
}

TEST_CASE("frames that were on the screen are known, and those that were not are counted") {
    TemporaryFolder folder;
    auto session = session_with_clip(folder);
    for (const std::int64_t n : {10, 11, 12, 20}) {
        session->go_to_frame(n);
        REQUIRE(session->settle().ok());
        if (n != 11) session->note_shown(session->clip());
    }
    // Frame 11 was decoded, and gone before it was drawn.
    CHECK(session->frames_not_displayed(10, 12) == 1);
    session->go_to_frame(11);
    session->note_shown(session->clip());  // still the picture of frame 20
    CHECK(session->frames_not_displayed(10, 12) == 1);
    REQUIRE(session->settle().ok());
    session->note_shown(session->clip());
    CHECK(session->frames_not_displayed(10, 12) == 0);
    CHECK(session->frames_not_displayed(10, 20) == 7);
}
