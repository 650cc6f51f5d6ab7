// Runs of the sample meet laid open and held against each other, against what its renderer solved
// (sample_clips/truth.json), and meets of which a part cannot be laid open.
#include "review/study_runs.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>

#include "review/compare_runs.h"
#include "review/raters.h"
#include "review/season.h"
#include "store/csv.h"
#include "store/meet_file.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
using review::Opened;
namespace fs = std::filesystem;

const fs::path kMeet = test::source_folder() / "sample_clips/pier-nine.meet";

meet::State sample() {
    store::OpenOptions options;
    options.read_only = true;
    auto file = store::MeetFile::open(kMeet, options);
    REQUIRE(file.ok());
    return file->take_loaded();
}

meet::RunId run_called(const meet::State& state, const std::string& label) {
    for (const auto& [id, run] : state.runs()) {
        if (run.label == label) return id;
    }
    FAIL("no run " << label);
    return {};
}

Opened opened(const meet::State& state, const std::string& label) {
    auto open = review::RunStudy(state, kMeet).open(run_called(state, label));
    INFO((open.ok() ? "" : open.error().text()));
    REQUIRE(open.ok());
    return *open;
}

nlohmann::json events_of(const std::string& run) {
    std::ifstream file(kMeet.parent_path() / "truth.json");
    const nlohmann::json truth = nlohmann::json::parse(file);
    for (const auto& one : truth["runs"]) {
        if (one["run"] == run) return one["events"];
    }
    FAIL("no truth of " << run);
    return {};
}

bool is_touch(const nlohmann::json& event, const std::string& surface, const std::string& part) {
    return event["event"] == "touch" && event["surface"] == surface &&
           event["part"].get<std::string>().find(part) != std::string::npos;
}

/// When the run's stations were completed, by what their landings ask for; the start signal first.
std::vector<std::int64_t> true_splits(const nlohmann::json& events) {
    std::int64_t start = 0, coil = 0, plane = 0;
    std::map<std::string, std::int64_t> gantry, quay;
    for (const auto& event : events) {
        const std::int64_t ns = event["time_ns"];
        if (event["event"] == "signal" && event["signal"] == "start") start = ns;
        if (coil == 0 && is_touch(event, "coil_deck", "foot")) coil = ns;
        if (is_touch(event, "gantry_deck", "foot")) gantry.emplace(event["part"], ns);
        if (is_touch(event, "quay_deck", "foot")) quay.emplace(event["part"], ns);
        if (event["event"] == "cross" && event["part"] == "whole_athlete" && plane == 0) plane = ns;
    }
    const auto both = [](const std::map<std::string, std::int64_t>& feet) {
        REQUIRE(feet.size() == 2);
        return std::max(feet.begin()->second, feet.rbegin()->second);
    };
    return {start, coil, std::max(both(gantry), plane), both(quay)};
}

bool holds(const study::Length& length, std::int64_t ns) {
    return length.known() && length.low->ns <= ns && ns <= length.high->ns;
}
bool holds(const study::Difference& difference, std::int64_t ns) {
    return (!difference.low || difference.low->ns <= ns) && (!difference.high || ns <= difference.high->ns);
}

/// The run under this text as its course book.
void put_under(meet::State& state, meet::RunId run, const std::string& text) {
    meet::Change change;
    meet::Run edited = state.runs().at(run);
    if (text.empty()) {
        edited.book = {};
    } else {
        meet::BookRevision book = state.books().begin()->second;
        book.id = meet::BookId{state.books().rbegin()->first.value + 1};
        book.text = text;
        change.edits.push_back({std::nullopt, meet::Entity(book)});
        edited.book = book.id;
    }
    change.edits.push_back({meet::Entity(state.runs().at(run)), meet::Entity(edited)});
    const auto applied = state.apply(change);
    INFO((applied.ok() ? "" : applied.error().text()));
    REQUIRE(applied.ok());
}

}  // namespace

TEST_CASE("the true times of the stations of the sample meet lie within the bounds") {
    const meet::State state = sample();
    const std::vector<std::int64_t> one = true_splits(events_of("run-1"));
    const Opened open = opened(state, "run 1");
    REQUIRE(open->run.figures.stations.size() == 3);
    for (std::size_t k = 0; k < 3; ++k) {
        const study::StationFigures& figures = open->run.figures.stations[k];
        INFO(open->book->stations[k].key);
        CHECK(holds(figures.time, one[k + 1] - one[k]));
        CHECK(holds(figures.from_start, one[k + 1] - one[0]));
        CHECK(figures.time.high->ns - figures.time.low->ns < 400'000'000);
    }
    CHECK(open->name.number == "17");
    CHECK(open->name.file == "pier-nine.meet");
}

TEST_CASE("the true grips of a sample run are told within their bounds") {
    const meet::State state = sample();
    const Opened open = opened(state, "run 1");
    std::size_t met = 0;
    std::map<std::string, std::int64_t> since;
    for (const auto& event : events_of("run-1")) {
        if (event["event"] != "touch" && event["event"] != "release") continue;
        const std::string part = event["part"], surface = event["surface"];
        if (part.find("hand") == std::string::npos) continue;
        const std::int64_t ns = event["time_ns"];
        if (event["event"] == "touch") {
            since[part + surface] = ns;
            continue;
        }
        for (const study::Grip& grip : open->run.figures.grips) {
            if (course::part_key(grip.part) != part || open->book->surface(grip.surface).key != surface)
                continue;
            ++met;
            INFO(part << " on " << surface);
            CHECK(holds(grip.time, ns - since.at(part + surface)));
        }
    }
    CHECK(met == open->run.figures.grips.size());
    CHECK(met >= 9);
}

TEST_CASE("two sample runs differ by what their truths differ by, either way round") {
    const meet::State state = sample();
    const Opened a = opened(state, "run 1"), b = opened(state, "run 3");
    const auto there = review::compare_two(a, b, {}), back = review::compare_two(b, a, {});
    REQUIRE(there.ok());
    REQUIRE(back.ok());
    const auto in_a = true_splits(events_of("run-1"));
    const auto events = events_of("run-3");
    std::int64_t start = 0, coil = 0;
    for (const auto& event : events) {
        if (event["event"] == "signal" && event["signal"] == "start") start = event["time_ns"];
        if (coil == 0 && is_touch(event, "coil_deck", "foot")) coil = event["time_ns"];
    }
    REQUIRE(there->two->stations.size() == 3);
    CHECK(holds(there->two->stations[0].lost, (in_a[1] - in_a[0]) - (coil - start)));
    for (std::size_t k = 0; k < 3; ++k) {
        const study::Difference &one = there->two->stations[k].lost, &other = back->two->stations[k].lost;
        CHECK(one.low.has_value() == other.high.has_value());
        if (one.low) CHECK(one.low->ns == -other.high->ns);
        if (one.high) CHECK(one.high->ns == -other.low->ns);
    }
    CHECK(there->two->anchor->says == base::Sentence("the start"));
    CHECK(there->two->curve.size() == back->two->curve.size());
    CHECK(there->two->curve.size() > 20);
}

TEST_CASE("a run under a course book with its surfaces in another order is compared by their keys") {
    meet::State state = sample();
    const Opened a = opened(state, "run 1");
    std::string text = state.books().at(state.runs().at(run_called(state, "run 1")).book).text;
    const std::string line = "pier_deck = \"pier deck\"\n";
    const std::size_t at = text.find(line), end = text.find("[planes]");
    REQUIRE(at < end);
    text.insert(end, line);
    text.erase(at, line.size());
    const std::size_t revision = text.find("revision = \"");
    text.insert(revision + 12, "x");
    put_under(state, run_called(state, "run 1"), text);
    const Opened b = opened(state, "run 1");
    REQUIRE(b->book->find_surface("coil_deck") != a->book->find_surface("coil_deck"));
    const auto same = review::compare_two(a, a, {}), other = review::compare_two(a, b, {});
    REQUIRE(other.ok());
    CHECK(other->two->curve == same->two->curve);
    CHECK(other->two->curve.size() > 40);
}

TEST_CASE("runs are laid over each other at a station or a take-off, and what is not there is told") {
    const meet::State state = sample();
    const Opened a = opened(state, "run 1"), b = opened(state, "run 3");
    const auto at = [&](const std::string& text) {
        const auto align = review::read_align(text);
        REQUIRE(align.ok());
        return review::compare_two(a, b, *align);
    };
    const auto swing = at("station:hawser_swing");
    REQUIRE(swing.ok());
    bool zero = false;
    for (const study::CurvePoint& point : swing->two->curve)
        zero |= point.event.a == swing->two->anchor->a && holds(point.behind, 0);
    CHECK(zero);
    CHECK(at("take-off:2").ok());
    CHECK(at("take-off:99").error().category == base::Category::not_found);
    CHECK(at("station:nowhere")
              .error()
              .text()
              .find("it has 'bollard_hop', 'hawser_swing' and 'gantry_rungs'") != std::string::npos);
    for (const std::string wrong : {"", "station:", "take-off:0", "take-off:x", "end"})
        CHECK_FALSE(review::read_align(wrong).ok());
}

TEST_CASE("a run without a book keeps no other run from being laid open") {
    meet::State state = sample();
    put_under(state, run_called(state, "run 2"), "");
    const auto all = review::open_runs(state, kMeet);
    REQUIRE(all.ok());
    CHECK(all->runs.size() == 4);
    std::size_t without_book = 0, unmarked = 0;
    for (const review::NotOpened& one : all->not_opened) {
        without_book += one.why.text().find("run 2: The run has no course book") == 0 ? 1 : 0;
        unmarked += one.unmarked ? 1 : 0;
    }
    CHECK(without_book == 1);
    CHECK(unmarked + 1 == all->not_opened.size());
    std::stop_source stopped;
    stopped.request_stop();
    review::OpenRunsOptions options;
    options.stop = stopped.get_token();
    CHECK(review::open_runs(state, kMeet, options).error().category == base::Category::cancelled);
}

TEST_CASE("one run against others counts only times of stations that are shown to be cleared") {
    const meet::State state = sample();
    const Opened mine = opened(state, "run 1");
    const auto document = review::compare_one(
        mine, {{report::Reference::Kind::own_best, "the athlete's other runs", {}},
               {report::Reference::Kind::group_best,
                "the others",
                {opened(state, "run 2"), opened(state, "run 3"), opened(state, "run 4")}}});
    REQUIRE(document.references.size() == 1);
    CHECK(document.notes.size() == 1);
    const auto& losses = document.references[0].losses;
    CHECK(losses[0].compared == 3);
    CHECK(losses[1].compared == 1);  // run 2 fails there, and run 4 is not shown
    CHECK(losses[2].compared == 0);
    CHECK(losses[2].lost.told() == study::Told::not_known);
}

TEST_CASE("a name that a spreadsheet would run is guarded in the table") {
    const meet::State state = sample();
    auto named = std::make_shared<report::LaidOpen>(*opened(state, "run 1"));
    named->name.label = "=1+2";
    report::CompareDocument document = review::compare_one(named, {});
    const std::string csv = store::write_csv(report::compare_table(document));
    CHECK(csv.find("'=1+2,bollard_hop,time,clear") != std::string::npos);
    CHECK(csv.find("\n=1+2") == std::string::npos);
}

TEST_CASE("a season counts what its runs come to and tells which files had nobody") {
    const test::TemporaryFolder folder;
    fs::copy_file(kMeet, folder / "second.meet");
    test::write_bytes(folder / "broken.meet", "no meet");
    review::SeasonWish wish;
    wish.files = {kMeet, folder / "broken.meet", folder / "second.meet"};
    const auto all = review::season(wish);
    REQUIRE(all.ok());
    CHECK(all->runs.size() == 10);
    REQUIRE(all->stations.size() == 3);
    CHECK(all->stations[0].clear == 10);
    CHECK(all->stations[1].cleared.count == study::Count{6, 8});
    CHECK(all->stations[1].not_shown == 2);
    std::int64_t ended = 0;
    for (const report::SeasonEnd& end : all->ends)
        ended += end.runs;
    CHECK(ended == 10);
    wish.athlete = "dunlin";
    const auto by_name = review::season(wish);
    REQUIRE(by_name.ok());
    CHECK(by_name->runs.size() == 2);
    CHECK(holds(by_name->stations[0].trend, 0));
    std::size_t broken = 0;
    for (const report::SeasonFile& file : by_name->files)
        broken += file.error ? 1 : 0;
    CHECK(broken == 1);
    wish.athlete = "";
    wish.number_in = {{"second.meet", "30"}};
    const auto by_number = review::season(wish);
    REQUIRE(by_number.ok());
    CHECK(by_number->runs.size() == 1);
    CHECK(by_number->stations[0].clear == 1);
    wish.number_in = {{"third.meet", "30"}};
    CHECK_FALSE(review::season(wish).ok());
}

TEST_CASE("two reviewers agree where they mark the same and differ by what one moved") {
    const meet::State a = sample();
    meet::State b = sample();
    const meet::RunId run = run_called(a, "run 1");
    meet::Change change;
    std::int64_t moved = 0, other_surface = 0, gone = 0;
    for (const meet::Mark& mark : b.marks_of(run)) {
        meet::Mark edited = mark;
        const meet::Event& event = mark.alternatives.front();
        if (event.kind == meet::EventKind::touch && event.surface == "rung_3") {
            edited.alternatives.front().surface = "rung_2";
            ++other_surface;
        } else if (event.surface == "rung_4" && event.kind == meet::EventKind::touch) {
            edited.sightings.front().early->number += 3;
            edited.sightings.front().late->number += 3;
            ++moved;
        } else if (event.surface == "bell_plate" && event.kind == meet::EventKind::release) {
            change.edits.push_back({meet::Entity(mark), std::nullopt});
            ++gone;
            continue;
        } else {
            continue;
        }
        change.edits.push_back({meet::Entity(mark), meet::Entity(edited)});
    }
    REQUIRE(b.apply(change).ok());
    // The figures rest on time stamps; they are not what is looked at here.
    const Opened open = opened(a, "run 1");
    const auto same = review::raters({a, run, *open}, {a, run, *open});
    REQUIRE(same.ok());
    CHECK(same->moments.within == same->moments.paired);
    CHECK(same->moments.only_first + same->moments.only_second == 0);
    CHECK(*same->surfaces->kappa == Approx(1));
    CHECK(same->clips == std::vector<std::string>{"camera A"});
    const auto told = review::raters({a, run, *open}, {b, run, *open});
    REQUIRE(told.ok());
    CHECK(told->moments.paired == same->moments.paired - gone);
    CHECK(told->moments.only_first == gone);
    CHECK(told->moments.within == told->moments.paired - moved);
    const auto n = static_cast<double>(told->surfaces->rated);
    CHECK(*told->surfaces->agreement == Approx((n - static_cast<double>(other_surface)) / n));
    const Opened elsewhere = opened(a, "run 2");
    CHECK(review::raters({a, run, *open}, {a, run_called(a, "run 2"), *elsewhere}).error().category ==
          base::Category::bad_input);
}
