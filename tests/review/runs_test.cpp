// Several runs of one meet: on one clip, two athletes in one picture, each under its own division, lane and
// revision of the course book.
#include <catch2/catch.hpp>
#include <filesystem>

#include "review/course_revision.h"
#include "review/documents.h"
#include "review/session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark;
using course::Part;
using review::NewBook;
using review::Session;
using ruling::Verdict;
using test::bytes_of;
using test::TemporaryFolder;

const fs::path kSamples = test::source_folder() / "sample_clips";

// One hop, from a pier deck to a coil deck, side by side in two lanes; the youngest may use a step.
std::string book_text(const std::string& revision, const std::string& more_surfaces = "") {
    return "course = \"Pier Nine trial\"\nrevision = \"" + revision +
           "\"\n[surfaces]\npier = \"pier deck\"\ncoil = \"coil deck\"\nstep = \"step\"\n"
           "coil_b = \"coil deck of lane b\"\nfloor = { name = \"floor\", out_of_play = true }\n" +
           more_surfaces +
           "[[station]]\nkey = \"hop\"\nname = \"hop\"\nstart = \"pier\"\n"
           "[station.landing]\nsurface = \"coil\"\nparts = \"any foot\"\n"
           "[[division]]\nkey = \"under_12\"\nname = \"Under 12\"\n"
           "[[division.station]]\nkey = \"hop\"\nname = \"hop over the step\"\nstart = \"pier\"\n"
           "in_play = [ { surface = \"step\", parts = \"feet\" } ]\n"
           "[division.station.landing]\nsurface = \"coil\"\nparts = \"any foot\"\n"
           "[[lane]]\nkey = \"a\"\nname = \"lane a\"\n"
           "[[lane]]\nkey = \"b\"\nname = \"lane b\"\nin_place = { coil = \"coil_b\" }\n";
}

std::unique_ptr<Session> meet_with_clip(const TemporaryFolder& folder) {
    auto made =
        Session::create(folder / "trial.meet", {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
    REQUIRE(made.ok());
    Session& session = **made;
    REQUIRE(session.add_book("trial.course", book_text("1")).ok());
    REQUIRE(session.add_run("run 1").ok());
    REQUIRE(session.add_clip(kSamples / "run-2-a.mp4").ok());
    REQUIRE(session.settle().ok());
    return std::move(*made);
}

/// Marks without going to the frame: not yet at the frame before, it had at this one.
void add(Session& session, const meet::Event& event, std::int64_t frame) {
    const media::FrameTable& table = *session.current_clip()->table;
    meet::Mark mark;
    mark.id = {session.state().next_id(meet::Kind::mark)};
    mark.run = session.run();
    mark.alternatives = {event};
    mark.sightings = {{session.clip(), meet::FrameRef{frame - 1, table[frame - 1].pts},
                       meet::FrameRef{frame, table[frame].pts}}};
    REQUIRE(session.apply({"mark", {{std::nullopt, mark}}, 0}).ok());
}

void touch(Session& session, Part part, const std::string& surface, std::int64_t frame) {
    meet::Event event;
    event.part = part;
    event.surface = surface;
    add(session, event, frame);
}

void start(Session& session, std::int64_t frame) {
    meet::Event event;
    event.kind = meet::EventKind::signal;
    add(session, event, frame);
    const media::FrameTable& table = *session.current_clip()->table;
    meet::ContactStatement stands{{session.state().next_id(meet::Kind::contact)},
                                  session.run(),
                                  session.clip(),
                                  {5, table[5].pts},
                                  Part::left_foot,
                                  "pier",
                                  true};
    REQUIRE(session.apply({"stands", {{std::nullopt, stands}}, 0}).ok());
    REQUIRE(session.watch(0, 60, {}).ok());
}

Verdict verdict_of(Session& session, std::size_t station = 0) {
    REQUIRE(session.settle().ok());
    const review::RulingView& view = session.ruling();
    INFO((view.error ? view.error->text() : std::string()));
    REQUIRE(view.ruling);
    return view.ruling->stations.at(station).verdict;
}

}  // namespace

TEST_CASE("one clip can be the footage of two runs, each with marks and spans of its own") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const meet::RunId first = session->run();
    const meet::ClipId clip = session->clip();
    start(*session, 10);
    touch(*session, Part::left_foot, "coil", 30);
    CHECK(verdict_of(*session) == Verdict::clear);
    REQUIRE(session->add_run("run 2").ok());
    const auto again = session->add_clip(kSamples / "run-2-a.mp4");
    REQUIRE(again.ok());
    CHECK(*again == clip);
    CHECK(session->state().clips().size() == 1);
    CHECK(verdict_of(*session) == Verdict::not_reached);  // nothing of the first run counts here
    start(*session, 20);
    touch(*session, Part::right_hand, "floor", 40);
    CHECK(verdict_of(*session) == Verdict::fail);
    session->select_run(first);
    CHECK(verdict_of(*session) == Verdict::clear);
    CHECK(session->ruling().evidence->marks.size() == 2);
    CHECK(session->ruling().evidence->spans.size() == 1);
}

TEST_CASE("a clip added twice to one run stays two clips") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const meet::ClipId first = session->clip();
    CHECK(*session->add_clip(kSamples / "run-2-a.mp4") != first);
}

TEST_CASE("of two athletes in one picture each is ruled by the marks of its own run alone") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const meet::RunId first = session->run();
    start(*session, 10);
    touch(*session, Part::left_foot, "coil", 30);
    REQUIRE(session->set_division_and_lane("", "a").ok());
    const auto second = session->add_run("run 2", {}, {session->clip()});
    REQUIRE(second.ok());
    REQUIRE(session->set_division_and_lane("", "b").ok());
    start(*session, 10);
    touch(*session, Part::left_foot, "coil_b", 31);
    CHECK(verdict_of(*session) == Verdict::clear);
    // Whatever is marked of one athlete, the other's ruling stays as it was, to the byte.
    session->select_run(first);
    REQUIRE(session->settle().ok());
    const std::string before = review::ruling_document(*session)->ruling.sentence;
    const auto evidence_before = session->ruling().evidence->marks.size();
    session->select_run(*second);
    REQUIRE(session->settle().ok());
    touch(*session, Part::right_foot, "coil", 25);  // over into the neighbour's lane
    CHECK(verdict_of(*session) == Verdict::fail);
    CHECK(session->ruling().ruling->stations[0].deciding_clause == ruling::Clause::out_of_play);
    session->select_run(first);
    CHECK(verdict_of(*session) == Verdict::clear);
    CHECK(review::ruling_document(*session)->ruling.sentence == before);
    CHECK(session->ruling().evidence->marks.size() == evidence_before);
}

TEST_CASE("a run is ruled under its own division, and undo takes the division back") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    start(*session, 10);
    touch(*session, Part::left_foot, "step", 20);
    touch(*session, Part::right_foot, "coil", 30);
    CHECK(verdict_of(*session) == Verdict::fail);
    REQUIRE(session->set_division_and_lane("under_12", "").ok());
    CHECK(session->book()->stations[0].name == "hop over the step");
    CHECK(session->whole_book()->stations[0].name == "hop");
    CHECK(verdict_of(*session) == Verdict::clear);
    CHECK(review::ruling_document(*session)->division == "Under 12");
    REQUIRE(session->undo().ok());
    CHECK(session->book()->stations[0].name == "hop");
    CHECK(verdict_of(*session) == Verdict::fail);
    CHECK(review::ruling_document(*session)->division.empty());
}

TEST_CASE("a run is ruled in its own lane, where the other lane's surfaces are out of play") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    start(*session, 10);
    touch(*session, Part::right_foot, "coil_b", 30);
    CHECK(verdict_of(*session) == Verdict::fail);
    REQUIRE(session->set_division_and_lane("", "b").ok());
    CHECK(verdict_of(*session) == Verdict::clear);
    CHECK(review::ruling_document(*session)->lane == "lane b");
    REQUIRE(session->set_division_and_lane("under_12", "b").ok());
    CHECK(verdict_of(*session) == Verdict::clear);
}

TEST_CASE("division and lane are kept with the meet, and one that is not in the book is refused") {
    const TemporaryFolder folder;
    {
        auto session = meet_with_clip(folder);
        const auto refused = session->set_division_and_lane("under_21", "");
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.error().sentence ==
              "The course book has no division 'under_21'; did you mean 'under_12'?");
        CHECK_FALSE(session->set_division_and_lane("", "c").ok());
        REQUIRE(session->set_division_and_lane("under_12", "b").ok());
        REQUIRE(session->flush().ok());
    }
    auto again = Session::open(folder / "trial.meet");
    REQUIRE(again.ok());
    const meet::Run& run = (*again)->state().runs().begin()->second;
    CHECK(run.division == "under_12");
    CHECK(run.lane == "b");
    CHECK((*again)->book()->lanes.empty());
}

TEST_CASE("a run whose book has no such division any more says so instead of being ruled") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    meet::Run run = session->state().runs().begin()->second;
    meet::Run lost = run;
    lost.division = "under_9";
    REQUIRE(session->apply({"by another program", {{run, lost}}, 0}).ok());
    REQUIRE(session->settle().ok());
    REQUIRE(session->ruling().error);
    CHECK(session->ruling().error->sentence.english().find("no division 'under_9'") != std::string::npos);
    CHECK(session->book() == nullptr);
    REQUIRE(session->set_division_and_lane("", "").ok());
    CHECK(session->book() != nullptr);
}

TEST_CASE("a new run takes the division that its athlete's is named like, by key or by name") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    for (const auto& [stated, division] : std::vector<std::pair<std::string, std::string>>{
             {"under_12", "under_12"}, {"Under 12", "under_12"}, {"Seniors", ""}, {"", ""}}) {
        const auto athlete = session->add_athlete({{}, "17", "", "", stated});
        REQUIRE(athlete.ok());
        const auto run = session->add_run("run of " + stated, *athlete);
        REQUIRE(run.ok());
        CHECK(session->state().runs().at(*run).division == division);
    }
}

TEST_CASE("a revision is taken in for every run but those that keep theirs") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const meet::RunId first = session->run();
    const meet::BookId old = session->state().runs().at(first).book;
    const meet::RunId second = *session->add_run("run 2", {}, {session->clip()});
    const auto taken = session->take_in_book({"trial.course", book_text("2"), {}}, {first});
    REQUIRE(taken.ok());
    CHECK(session->state().runs().at(first).book == old);
    CHECK(session->state().runs().at(second).book == *taken);
    CHECK(session->book()->revision == "2");
    session->select_run(first);
    CHECK(session->book()->revision == "1");
    CHECK(*session->add_run("run 3") != first);
    CHECK(session->book()->revision == "2");  // the newest by default
    REQUIRE(session->undo().ok());
    REQUIRE(session->undo().ok());
    CHECK(session->state().books().size() == 1);
    CHECK(session->state().runs().at(second).book == old);
}

TEST_CASE(
    "a revision that lacks what a run names is refused with all that it lacks, unless that run keeps its "
    "book") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const meet::RunId first = session->run();
    REQUIRE(session->take_in_book({"trial.course", book_text("2", "net = \"net\"\n"), {}}).ok());
    start(*session, 10);
    touch(*session, Part::left_foot, "net", 20);
    REQUIRE(session->put_floor_call("hop", meet::Call::clear, false, "").ok());
    REQUIRE(session->set_division_and_lane("under_12", "b").ok());
    const meet::State before = session->state();
    std::string text = book_text("3");
    text = text.substr(0, text.find("[[division]]"));
    text.replace(text.find("key = \"hop\""), 11, "key = \"jump\"");
    const auto refused = session->take_in_book({"trial.course", text, {}});
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().sentence ==
          "Revision '3' does not have what these runs name; declare it there, or say that they keep the book "
          "that they have:\nrun 1 names the division 'under_12', the lane 'b', the station 'hop' and the "
          "surface 'net'");
    CHECK(session->state() == before);
    CHECK(session->take_in_book({"trial.course", text, {}}, {first}).ok());
    CHECK(session->state().books().size() == 3);
}

TEST_CASE("two texts of one revision are refused, and one text is kept once") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const auto refused = session->take_in_book({"trial.course", book_text("1", "net = \"net\"\n"), {}});
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().sentence.english().find("revision '1' of this course already") !=
          std::string::npos);
    const meet::BookId first = session->state().books().begin()->first;
    REQUIRE(session->take_in_book({"trial.course", book_text("2"), {}}).ok());
    CHECK(*session->take_in_book({"trial.course", book_text("1"), {}}) == first);
    CHECK(session->state().books().size() == 2);
    CHECK(session->book()->revision == "1");
}

TEST_CASE("where a book's file lies is kept from the meet's folder on, or whole") {
    const TemporaryFolder folder;
    auto session = meet_with_clip(folder);
    const fs::path beside = folder / "books" / "trial.course";
    const auto near = session->take_in_book({"trial.course", book_text("2"), beside});
    CHECK(session->state().books().at(*near).path == "books/trial.course");
    CHECK(review::file_of_book(session->path(), session->state().books().at(*near)) == beside);
    const auto far = session->take_in_book({"trial.course", book_text("3"), "/elsewhere/trial.course"});
    CHECK(review::file_of_book(session->path(), session->state().books().at(*far)) ==
          "/elsewhere/trial.course");
    CHECK(review::file_of_book(session->path(), session->state().books().begin()->second).empty());
}
