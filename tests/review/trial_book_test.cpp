// The tester's book of a meet: the sample meet's runs taken as trials, ruled, and what is entered for them.
#include "review/trial_book.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <map>

#include "course/read.h"
#include "store/meet_file.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

using namespace plumbmark;

namespace {

meet::State sample() {
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file =
        store::MeetFile::open((test::source_folder() / "sample_clips/pier-nine.meet").string(), reading);
    REQUIRE(file.ok());
    return file->loaded();
}

void apply(meet::State& state, const base::Result<meet::Change>& change) {
    INFO((change ? std::string() : change.error().text()));
    REQUIRE(change.ok());
    const auto applied = state.apply(*change);
    INFO((applied ? std::string() : applied.error().text()));
    REQUIRE(applied.ok());
}

meet::RunId run_of(const meet::State& state, const std::string& label) {
    for (const auto& [id, run] : state.runs()) {
        if (run.label == label) return id;
    }
    FAIL("no such run");
    return {};
}

/// The sample with a tester and a rig of each station.
meet::State with_tester() {
    meet::State state = sample();
    meet::Tester tester;
    tester.name = "Tern";
    tester.stature_mm = 1'620;
    apply(state, review::tester_change(state, tester));
    for (const char* station : {"bollard_hop", "hawser_swing", "gantry_rungs"})
        apply(state,
              review::rig_change(state, "open.meet", {{}, station, {{"bar", "hook 3", 2'250}}, {}, ""}, {}));
    return state;
}

meet::Trial trial_of(const std::string& station) {
    meet::Trial trial;
    trial.station = station;
    trial.tester = {1};
    return trial;
}
meet::Trial filmed(const meet::State& state, const std::string& station, const std::string& run) {
    meet::Trial trial = trial_of(station);
    trial.run = run_of(state, run);
    return trial;
}

review::TrialBook book_of(const meet::State& state, const std::string& station = "") {
    review::TrialBookWish wish;
    wish.station = station;
    const auto book = review::trial_book(state, {}, wish);
    INFO((book ? std::string() : book.error().text()));
    REQUIRE(book.ok());
    return *book;
}
study::StationReport report_of(const meet::State& state, const std::string& station) {
    return book_of(state, station).stations.front().report;
}

/// The sample's book with this in place of that.
void take_in_book(meet::State& state, const std::string& that, const std::string& in_place) {
    meet::BookRevision book = state.books().rbegin()->second;
    const std::size_t at = book.text.find(that);
    REQUIRE(at != std::string::npos);
    book.text.replace(at, that.size(), in_place);
    book.id = {state.next_id(meet::Kind::book)};
    apply(state, meet::Change{"another book", {{std::nullopt, book}}, 0});
}

void close_all(meet::State& state, const std::string& station) {
    for (;;) {
        const study::StationReport report = report_of(state, station);
        if (report.open().empty()) return;
        apply(state, review::closing_change(state, report, report.open().front()->key, "looked at"));
    }
}

}  // namespace

TEST_CASE("trials with a run are ruled and their ways follow from the marks") {
    meet::State state = with_tester();
    for (const char* run : {"run 1", "run 2"}) {
        for (const char* station : {"bollard_hop", "hawser_swing", "gantry_rungs"})
            apply(state, review::trial_change(state, filmed(state, station, run)));
    }
    const review::TrialBook book = book_of(state);
    REQUIRE(book.stations.size() == 3);
    // The rulings are those of the sample's truth file.
    CHECK(book.stations[0].report.all == study::Tally{2, 2, 0, 0, 0});
    CHECK(book.stations[1].report.all == study::Tally{2, 1, 1, 0, 0});
    CHECK(book.stations[0].results[0].landing == "coil_deck");
    CHECK_FALSE(book.stations[0].results[0].items.empty());
    CHECK(book.stations[0].report.set_aside.tried == 0);
    // All rungs, or one of four left out; the run that never came to them took none of these ways.
    CHECK(book.stations[2].report.ways.count == 5);
    CHECK(book.stations[2].report.lines.size() == 5);
    CHECK(book.stations[2].report.all == study::Tally{2, 1, 0, 1, 0});
    CHECK(book.stations[2].report.elsewhere == study::Tally{1, 0, 0, 1, 0});
    for (const study::ClauseLine& line : book.stations[0].report.clauses)
        CHECK(line.exercised());
    CHECK(book.stations[1].results[1].how.english().find("floor") != std::string::npos);
    CHECK(book.stations[1].results[1].still.has_value());
}

TEST_CASE("a touch of what no definition names opens a question that names its frame, and closes") {
    meet::State state = with_tester();
    apply(state, review::trial_change(state, filmed(state, "hawser_swing", "run 2")));
    REQUIRE(report_of(state, "hawser_swing").questions.size() ==
            report_of(state, "hawser_swing").open().size());
    for (const study::Question& question : report_of(state, "hawser_swing").questions)
        CHECK(question.kind != study::QuestionKind::undeclared_touch);
    // The floor is no longer ruled out in so many words, and no station names it.
    take_in_book(state, "floor = { name = \"floor\", out_of_play = true }", "floor = \"floor\"");
    meet::Run run = state.runs().at(run_of(state, "run 2"));
    run.book = state.books().rbegin()->first;
    apply(state, meet::Change{"its book", {{state.runs().at(run.id), run}}, 0});
    const std::string key = "undeclared:floor";
    study::StationReport report = report_of(state, "hawser_swing");
    CHECK(report.all.failed == 1);
    const study::Question& question = report.questions.front();
    CHECK(question.key == key);
    CHECK(question.kind == study::QuestionKind::undeclared_touch);
    REQUIRE(question.mark.valid());
    const meet::Mark& mark = state.marks().at(question.mark);
    CHECK(mark.alternatives[0].surface == "floor");
    REQUIRE(question.still.has_value());
    CHECK(question.still->frame == *mark.sightings[0].late);
    CHECK(question.run == run.id);
    CHECK(question.sentence.english().find("touches floor") != std::string::npos);

    const auto closing = review::closing_change(state, report, key, "out of play");
    meet::State closed = state;
    apply(closed, closing);
    report = report_of(closed, "hawser_swing");
    CHECK(report.questions.back().closed == "out of play");
    // It has undo, and another reason takes the place of the first.
    apply(closed, review::closing_change(closed, report, key, "out of play everywhere"));
    CHECK(closed.closings().size() == 1);
    CHECK(report_of(closed, "hawser_swing").questions.back().closed == "out of play everywhere");
    meet::State undone = state;
    apply(undone, closing);
    apply(undone, meet::inverse(*closing));
    CHECK(undone.closings().empty());
    CHECK_FALSE(review::closing_change(state, report, "undeclared:net", "no such").ok());
    CHECK_FALSE(review::closing_change(state, report, key, "").ok());
}

TEST_CASE("a station is released when nothing is open and another definition or rig reopens it") {
    meet::State state = with_tester();
    apply(state, review::trial_change(state, filmed(state, "hawser_swing", "run 1")));
    study::StationReport report = report_of(state, "hawser_swing");
    CHECK_FALSE(report.open().empty());
    CHECK_FALSE(review::release_change(state, report, "Tern", "", {1'000}).ok());
    close_all(state, "hawser_swing");
    report = report_of(state, "hawser_swing");
    CHECK_FALSE(review::release_change(state, report, "", "", {1'000}).ok());
    apply(state, review::release_change(state, report, "Tern", "", {1'000}));
    CHECK(report_of(state, "hawser_swing").release.standing == study::Standing::proven);

    SECTION("another station is edited") {
        take_in_book(state, "max_skipped = 1", "max_skipped = 0");
        CHECK(report_of(state, "hawser_swing").release.standing == study::Standing::proven);
    }
    SECTION("its plan is edited") {
        take_in_book(state, "[5.2, 0, 2.25]", "[5.2, 0, 2.30]");
        report = report_of(state, "hawser_swing");
        CHECK(report.release.standing == study::Standing::changed);
        CHECK(report.release.definition_changed);
        CHECK_FALSE(report.open().empty());
        // The run was ruled under the definition before, and proves nothing of this one.
        CHECK(report.set_aside.tried == 1);
    }
    SECTION("the rig is another one") {
        apply(state, review::rig_change(state, "open.meet",
                                        {{}, "hawser_swing", {{"bar", "hook 4", 2'250}}, {}, ""}, {}));
        report = report_of(state, "hawser_swing");
        CHECK(report.release.standing == study::Standing::changed);
        CHECK(report.release.rig_changed);
    }
    SECTION("the station is gone from the book") {
        take_in_book(state, "key = \"hawser_swing\"", "key = \"rope_swing\"");
        CHECK(book_of(state).unknown_stations == std::vector<std::string>{"hawser_swing"});
    }
}

TEST_CASE("what is entered is filled up from the book and refused where it is not told") {
    meet::State state = with_tester();
    meet::Trial trial = trial_of("bollard_hop");
    trial.seen = meet::TrialOutcome::cleared;
    trial.items = {"bollard_3", "bollard_1", "bollard_3"};
    apply(state, review::trial_change(state, trial));
    const meet::Trial& made = state.trials().rbegin()->second;
    CHECK(made.start == "pier_deck");
    CHECK(made.landing == "coil_deck");
    CHECK(made.rig == meet::RigId{1});
    CHECK(made.items == std::vector<std::string>{"bollard_1", "bollard_3"});
    CHECK_FALSE(review::trial_change(state, trial_of("bollard_hop")).ok());
    CHECK(review::trial_change(state, trial_of("net")).error().category == base::Category::not_found);
    CHECK_FALSE(review::tester_change(state, {}).ok());
    CHECK(review::trial_book(meet::State{}, {}).error().category == base::Category::not_found);

    const test::TemporaryFolder folder;
    std::ofstream(folder / "rig.jpg") << "abc";
    const auto rig = review::rig_change(state, folder / "open.meet", {{}, "bollard_hop", {}, {}, ""},
                                        {folder / "rig.jpg"});
    apply(state, rig);
    const meet::RigPhoto& photo = state.rigs().rbegin()->second.photos.at(0);
    CHECK(photo.path == "rig.jpg");
    // FIPS 180-2, B.1.
    CHECK(photo.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK_FALSE(review::rig_change(state, folder / "open.meet", {{}, "bollard_hop", {}, {}, ""},
                                   {folder / "gone.jpg"})
                    .ok());
}

TEST_CASE("ages of a division follow from years of birth and the year of the meet") {
    meet::State state = sample();
    const auto nobody = review::people_of_divisions(meet::State{}, "", {});
    REQUIRE(nobody.ok());
    CHECK(nobody->empty());
    meet::Division division;
    division.id = {state.next_id(meet::Kind::division)};
    division.key = "u_test";
    division.name = "under test";
    division.born_from = 2012;
    division.born_to = 2014;
    apply(state, meet::Change{"a division", {{std::nullopt, division}}, 0});
    // The sample's day is in 2026.
    const auto girls = review::people_of_divisions(state, "u_test", study::Sex::female);
    REQUIRE(girls.ok());
    REQUIRE(girls->size() == 2);
    CHECK((*girls)[0].years == 12);
    CHECK((*girls)[1].years == 14);
    CHECK(review::people_of_divisions(state, "u_test", {})->size() == 4);
    CHECK(review::people_of_divisions(state, "no_such", {}).error().category == base::Category::not_found);
}
