// A run laid open, against what is known to have happened: the sample meet's runs as their renderer solved
// them, filmed by cameras of several rates, and random runs.
#include "study/run_figures.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "course/read.h"
#include "oracle/random_case.h"
#include "study/run_figures_truth.h"

namespace {

using namespace plumbmark;
using study::Length;
using test::TrueStretch;

constexpr std::uint64_t kSeed = 41;

study::StudiedRun opened(const course::CourseBook& book, const ruling::Evidence& evidence) {
    const ruling::PreparedCourse course(book);
    auto run = study::lay_open(course, evidence);
    REQUIRE(run.ok());
    return std::move(*run);
}

std::set<course::SurfaceId> platforms_of(const course::CourseBook& book) {
    std::set<course::SurfaceId> platforms;
    for (const course::Station& station : book.stations) {
        platforms.insert(station.start.begin(), station.start.end());
        platforms.insert(station.landing.surfaces.begin(), station.landing.surfaces.end());
    }
    return platforms;
}

bool holds(const Length& length, std::int64_t ns) {
    return (!length.low || length.low->ns <= ns) && (!length.high || ns <= length.high->ns);
}
bool at_most_holds(const Length& length, std::int64_t ns) {  // of a stretch that went on at the end
    return !length.high || ns <= length.high->ns;
}

std::int64_t time_of(const test::TrueRun& run, ruling::MarkId mark) {
    for (const test::TrueEvent& event : run.events) {
        if (event.mark == mark) return event.ns;
    }
    FAIL("no such mark");
    return 0;
}

/// The truth of each grip lies in its bracket, and each that is told is one.
void check_grips(const study::RunFigures& figures, const test::TrueFigures& truth) {
    std::size_t met = 0;
    for (const TrueStretch& grip : truth.grips) {
        for (const study::Grip& told : figures.grips) {
            const bool same_end = grip.goes_on ? !told.leave.valid() : told.leave == grip.ends;
            if (told.part != grip.part || told.surface != grip.surface || told.touch != grip.begins ||
                !same_end)
                continue;
            ++met;
            if (grip.goes_on) {
                CHECK(told.time.doubt.end_unseen);
                CHECK_FALSE(told.time.high);
                CHECK(at_most_holds(told.time, grip.to - grip.from));
            } else {
                CHECK(holds(told.time, grip.to - grip.from));
                CHECK(told.time.known());
            }
        }
    }
    CHECK(met == truth.grips.size());
    CHECK(figures.grips.size() == truth.grips.size());
}

std::vector<Length> lengths(const std::vector<study::Stretch>& stretches) {
    std::vector<Length> all;
    for (const study::Stretch& stretch : stretches)
        all.push_back(stretch.time);
    return all;
}

/// Whichever stretches are told where the order of events is open: what there was in all lies within what all
/// of them can have been.
void check_sum(const char* what, const std::vector<Length>& told, const std::vector<TrueStretch>& truth) {
    std::int64_t low = 0, high = 0, sum = 0;
    INFO(what);
    bool open = false;
    for (const Length& length : told) {
        low += length.low->ns;
        open |= !length.high;
        high += length.high ? length.high->ns : 0;
    }
    // What goes on at the end is told to the end of what was watched.
    bool goes_on = false;
    for (const TrueStretch& stretch : truth) {
        goes_on |= stretch.goes_on;
        sum += stretch.to - stretch.from;
    }
    CHECK((goes_on || low <= sum));
    CHECK((open || sum <= high));
}

/// Where no frame holds two events, each true stretch is told with its own marks, and no other is.
void check_each(const std::vector<study::Stretch>& told, const std::vector<TrueStretch>& truth) {
    std::size_t met = 0;
    for (const TrueStretch& stretch : truth) {
        for (const study::Stretch& one : told) {
            if (one.from != stretch.begins || (stretch.goes_on ? one.to.valid() : one.to != stretch.ends))
                continue;
            ++met;
            CHECK((stretch.goes_on || holds(one.time, stretch.to - stretch.from)));
            CHECK_FALSE(one.time.doubt.unwatched);
        }
    }
    CHECK(met == truth.size());
    CHECK(told.size() == truth.size());
}

std::vector<study::Stretch> stretches(const std::vector<study::Rest>& rests) {
    std::vector<study::Stretch> all;
    for (const study::Rest& rest : rests)
        all.push_back(rest.stretch);
    return all;
}

bool is_within(const Length& fine, const Length& coarse) {
    return (!coarse.low || (fine.low && *coarse.low <= *fine.low)) &&
           (!coarse.high || (fine.high && *fine.high <= *coarse.high));
}

}  // namespace

TEST_CASE("grips and hangs and flights and rests of the sample runs are as the renderer has them") {
    const course::CourseBook book = test::pier_nine();
    for (const std::string name : {"run-1", "run-2", "run-3", "run-4"}) {
        for (const std::int64_t frame : {std::int64_t{1'000'000}, std::int64_t{4'166'667},
                                         std::int64_t{16'666'667}, std::int64_t{40'000'000}}) {
            INFO(name << " at " << frame << " ns a frame");
            oracle::Dice dice(kSeed);
            test::TrueRun run = test::sample_run(name);
            REQUIRE(run.events.size() > 12);
            test::Seen seen;
            seen.frame = frame;
            const ruling::Evidence evidence = test::filmed(run, seen, dice);
            const study::StudiedRun opened_run = opened(book, evidence);
            const test::TrueFigures truth = test::figures_of(run, platforms_of(book));
            REQUIRE((name == "run-2" || !truth.hangs.empty()));
            REQUIRE_FALSE(truth.flights.empty());
            const study::RunFigures& figures = opened_run.figures;
            check_grips(figures, truth);
            check_sum("hangs", lengths(figures.hangs), truth.hangs);
            check_sum("flights", lengths(figures.flights), truth.flights);
            check_sum("rests", lengths(stretches(figures.rests)), truth.rests);
            if (frame > 4'166'667) continue;
            check_each(figures.hangs, truth.hangs);
            check_each(figures.flights, truth.flights);
            check_each(stretches(figures.rests), truth.rests);
            CHECK(figures.unwatched.empty());
        }
    }
}

TEST_CASE("station times and rhythm and touches of the full clear are as the renderer has them") {
    const course::CourseBook book = test::pier_nine();
    test::TrueRun run = test::sample_run("run-1");
    oracle::Dice dice(kSeed);
    test::Seen seen;
    seen.frame = 4'000'000;
    const ruling::Evidence evidence = test::filmed(run, seen, dice);
    const study::StudiedRun opened_run = opened(book, evidence);
    // The completions by the course book's words: the first foot on the coil deck; both feet on the gantry
    // deck with the whole athlete past its front plane; both feet on the quay deck.
    const auto first_touch = [&](course::Part part, const char* surface) {
        for (const test::TrueEvent& event : run.events) {
            const auto* touch = std::get_if<ruling::Touch>(&event.what);
            if (touch != nullptr && touch->part == part && touch->surface == book.find_surface(surface))
                return event.ns;
        }
        return std::int64_t{0};
    };
    const std::int64_t start = run.events.front().ns;
    const std::int64_t coil = std::min(first_touch(course::Part::left_foot, "coil_deck"),
                                       first_touch(course::Part::right_foot, "coil_deck"));
    std::int64_t past = 0;
    for (const test::TrueEvent& event : run.events) {
        if (std::holds_alternative<ruling::Cross>(event.what)) past = std::max(past, event.ns);
    }
    const std::int64_t gantry = std::max({first_touch(course::Part::left_foot, "gantry_deck"),
                                          first_touch(course::Part::right_foot, "gantry_deck"), past});
    const std::int64_t quay = std::max(first_touch(course::Part::left_foot, "quay_deck"),
                                       first_touch(course::Part::right_foot, "quay_deck"));
    const std::vector<std::int64_t> ends{start, coil, gantry, quay};
    for (std::size_t k = 0; k < 3; ++k) {
        INFO("station " << k);
        const study::StationFigures& station = opened_run.figures.stations[k];
        CHECK(station.verdict == ruling::Verdict::clear);
        REQUIRE(station.time.known());
        CHECK(holds(station.time, ends[k + 1] - ends[k]));
        CHECK(holds(station.from_start, ends[k + 1] - start));
        CHECK(station.time.high->ns - station.time.low->ns <= 3 * seen.frame);
        CHECK_FALSE(station.time.doubt.any());
        for (const course::PartSet limbs : {course::kHands, course::kFeet}) {
            const std::vector<study::Beat>& beats = limbs == course::kHands ? station.hands : station.feet;
            const auto touches =
                std::count_if(run.events.begin(), run.events.end(), [&](const test::TrueEvent& e) {
                    const auto* touch = std::get_if<ruling::Touch>(&e.what);
                    return touch != nullptr && limbs.has(touch->part) && ends[k] < e.ns &&
                           e.ns <= ends[k + 1];
                });
            CHECK(static_cast<std::int64_t>(beats.size()) == std::max<std::int64_t>(touches - 1, 0));
            for (const study::Beat& beat : beats)
                CHECK(holds(beat.time, time_of(run, beat.to) - time_of(run, beat.from)));
        }
        for (const study::TouchCount& touched : station.touches) {
            std::int64_t count = 0;
            for (const test::TrueEvent& event : run.events) {
                const auto* touch = std::get_if<ruling::Touch>(&event.what);
                count += touch != nullptr && touch->part == touched.part && ends[k] < event.ns &&
                         event.ns <= ends[k + 1];
            }
            CHECK(touched.low <= count);
            REQUIRE(touched.high);
            CHECK(count <= *touched.high);
            CHECK(*touched.high - touched.low <= 1);
        }
    }
}

TEST_CASE("random runs filmed by one or two cameras lie within their figures") {
    const course::CourseBook book = test::pier_nine();
    std::size_t with_open_order = 0, runs = 0;
    for (int i = 0; i < 300; ++i) {
        oracle::Dice dice(kSeed + static_cast<std::uint64_t>(i));
        test::TrueRun run = test::random_run(dice, book, 12 + dice.below(18));
        test::Seen seen;
        const std::vector<std::int64_t> frames{1'000'000, 8'333'333, 20'000'000, 40'000'000};
        seen.frame = dice.of(frames);
        seen.from = -dice.below(40'000'000);
        seen.second_clip = dice.percent(40);
        seen.second_offset = dice.below(2'000'000'000) - 1'000'000'000;
        seen.row_delay = dice.percent(30) ? seen.frame / 2 : 0;
        const ruling::Evidence evidence = test::filmed(run, seen, dice);
        const ruling::PreparedCourse course(book);
        ruling::Settings settings;
        settings.explain = settings.sentences = false;
        settings.budget_states = 20'000;
        const auto opened_run = study::lay_open(course, evidence, settings);
        if (!opened_run.ok()) continue;  // too many events in one frame
        INFO("run " << i);
        ++runs;
        const test::TrueFigures truth = test::figures_of(run, platforms_of(book));
        const study::RunFigures& figures = opened_run->figures;
        check_sum("hangs", lengths(figures.hangs), truth.hangs);
        check_sum("flights", lengths(figures.flights), truth.flights);
        check_sum("rests", lengths(stretches(figures.rests)), truth.rests);
        for (const study::Grip& grip : figures.grips) {
            with_open_order += grip.time.doubt.order_open;
            if (!grip.touch.valid() || !grip.leave.valid()) continue;
            const std::int64_t held = time_of(run, grip.leave) - time_of(run, grip.touch);
            CHECK((held < 0 || holds(grip.time, held)));
        }
        for (const test::TrueEvent& a : run.events) {
            for (const test::TrueEvent& b : run.events) {
                const ruling::SpanBounds apart = opened_run->spans.between(a.mark, b.mark);
                CHECK((!apart.low || apart.low->ns <= b.ns - a.ns));
                CHECK((!apart.high || b.ns - a.ns <= apart.high->ns));
            }
        }
    }
    CHECK(runs > 200);
    CHECK(with_open_order > 0);
}

TEST_CASE("frames between the frames only tighten a figure") {
    const course::CourseBook book = test::pier_nine();
    for (const std::string name : {"run-1", "run-3", "run-4"}) {
        std::vector<study::StudiedRun> runs;
        for (const std::int64_t frame :
             {std::int64_t{16'000'000}, std::int64_t{8'000'000}, std::int64_t{1'000'000}}) {
            oracle::Dice dice(kSeed);
            test::TrueRun run = test::sample_run(name);
            test::Seen seen;
            seen.frame = frame;
            runs.push_back(opened(book, test::filmed(run, seen, dice)));
        }
        for (std::size_t i = 1; i < runs.size(); ++i) {
            const study::RunFigures& coarse = runs[i - 1].figures;
            const study::RunFigures& fine = runs[i].figures;
            REQUIRE(fine.grips.size() == coarse.grips.size());
            for (std::size_t g = 0; g < fine.grips.size(); ++g) {
                const auto same =
                    std::find_if(coarse.grips.begin(), coarse.grips.end(), [&](const study::Grip& o) {
                        return o.touch == fine.grips[g].touch && o.leave == fine.grips[g].leave &&
                               o.part == fine.grips[g].part;
                    });
                REQUIRE(same != coarse.grips.end());
                if (same->leave.valid()) CHECK(is_within(fine.grips[g].time, same->time));
            }
            for (std::size_t k = 0; k < book.stations.size(); ++k) {
                if (!coarse.stations[k].time.low) continue;
                CHECK(is_within(fine.stations[k].time, coarse.stations[k].time));
                CHECK(is_within(fine.stations[k].from_start, coarse.stations[k].from_start));
            }
        }
    }
}

TEST_CASE("a station's time from the start holds the split of the ruling") {
    std::size_t with_split = 0, tight = 0;
    for (std::uint64_t seed = 1; seed <= 600; ++seed) {
        const oracle::Case one = oracle::random_case(seed);
        const ruling::PreparedCourse course(one.book);
        ruling::Settings settings;
        settings.explain = settings.sentences = false;
        settings.budget_states = 5'000;
        const auto ruled = ruling::rule_run(course, one.evidence, settings);
        if (!ruled.ok()) continue;
        INFO("case " << seed);
        const auto run = study::lay_open(course, one.evidence, settings);
        REQUIRE(run.ok());
        for (std::size_t k = 0; k < ruled->stations.size(); ++k) {
            CHECK(run->figures.stations[k].verdict == ruled->stations[k].verdict);
            CHECK(run->figures.stations[k].if_reached == ruled->stations[k].if_reached);
        }
        for (const study::StationFigures& station : run->figures.stations) {
            // Law: a completion is told where, and only where, some world clears the station.
            if (station.verdict == ruling::Verdict::clear) CHECK(station.time.low);
            if (station.verdict == ruling::Verdict::fail || station.verdict == ruling::Verdict::not_reached)
                CHECK_FALSE(station.time.low);
            if (station.time.known()) CHECK(*station.time.low <= *station.time.high);
        }
        if (!ruled->split_low || !ruled->split_high) continue;
        const study::StationFigures* last = nullptr;
        bool certain = true;
        for (std::size_t k = 0; k < ruled->stations.size(); ++k) {
            certain &=
                ruled->stations[k].verdict != ruling::Verdict::not_shown && !ruled->stations[k].if_reached;
            if (ruled->stations[k].verdict == ruling::Verdict::clear) last = &run->figures.stations[k];
        }
        if (!certain || last == nullptr) continue;
        ++with_split;
        // Where the split is taken by the clips' clocks, drift is ours to add: a split of marks has none
        // there.
        const Length& told = last->from_start;
        CHECK(told.low->ns <= std::max<std::int64_t>(ruled->split_low->ns + 1, 0));
        if (told.high) {
            CHECK(told.high->ns >= ruled->split_high->ns - 1);
            tight += told.high->ns - told.low->ns <= ruled->split_high->ns - ruled->split_low->ns + 100'000;
        } else {
            CHECK(told.doubt.any());
        }
    }
    CHECK(with_split > 40);
    CHECK(tight * 4 > with_split * 3);
}

TEST_CASE("a grip that was not seen to end is at least so long and says why") {
    const course::CourseBook book = test::pier_nine();
    test::TrueRun run;
    run.standing = {{course::Part::left_foot, book.find_surface("pier_deck")}};
    run.events = {{100'000'000, ruling::Signal{ruling::SignalKind::start_given}, {}},
                  {500'000'000, ruling::Touch{course::Part::left_hand, book.find_surface("hawser")}, {}}};
    oracle::Dice dice(kSeed);
    test::Seen seen;
    seen.frame = 10'000'000;
    ruling::Evidence evidence = test::filmed(run, seen, dice);
    const auto whole = opened(book, evidence).figures;
    REQUIRE(whole.grips.size() == 1);
    CHECK(whole.grips[0].time.low ==
          base::Duration{20'000'001 - 1'001});  // watched to 0.52 s; 50 ppm, rounded up
    CHECK_FALSE(whole.grips[0].time.high);
    CHECK(whole.grips[0].time.doubt.end_unseen);
    CHECK_FALSE(whole.grips[0].time.doubt.unwatched);

    evidence.spans.clear();
    const auto blind = opened(book, evidence).figures;
    CHECK(blind.grips[0].time.low == base::Duration{0});
    CHECK(blind.grips[0].time.doubt.unwatched);
    REQUIRE(blind.unwatched.size() == 1);
    CHECK(blind.unwatched[0].after == base::Time{90'000'000});
    CHECK(blind.unwatched[0].until == base::Time{500'000'000});
}

TEST_CASE("figures that rest on what may not have happened or on one of several say so") {
    const course::CourseBook book = test::pier_nine();
    const course::SurfaceId hawser = book.find_surface("hawser");
    test::TrueRun run;
    run.events = {{100'000'000, ruling::Signal{ruling::SignalKind::start_given}, {}},
                  {500'000'000, ruling::Touch{course::Part::left_hand, hawser}, {}},
                  {700'000'000, ruling::Release{course::Part::left_hand, hawser}, {}}};
    oracle::Dice dice(kSeed);
    ruling::Evidence evidence = test::filmed(run, {}, dice);
    CHECK_FALSE(opened(book, evidence).figures.grips[0].time.doubt.any());
    evidence.marks[2].possible = true;
    CHECK(opened(book, evidence).figures.grips[0].time.doubt.possible);
    evidence.marks[2].possible = false;
    evidence.marks[1].alternatives.emplace_back(
        ruling::Touch{course::Part::left_hand, book.find_surface("rung_1")});
    const auto doubtful = opened(book, evidence).figures.grips;
    CHECK(std::all_of(doubtful.begin(), doubtful.end(),
                      [](const study::Grip& grip) { return grip.time.doubt.alternatives; }));
}

TEST_CASE("a clip that shows order only gives no lengths and says so") {
    const course::CourseBook book = test::pier_nine();
    test::TrueRun run = test::sample_run("run-1");
    oracle::Dice dice(kSeed);
    ruling::Evidence evidence = test::filmed(run, {}, dice);
    evidence.clips[0].durations_known = false;
    const auto figures = opened(book, evidence).figures;
    REQUIRE_FALSE(figures.grips.empty());
    for (const study::Grip& grip : figures.grips) {
        CHECK_FALSE(grip.time.high);
        CHECK((grip.time.doubt.no_lengths || grip.time.doubt.end_unseen));
    }
    CHECK(figures.stations[0].time.doubt.no_lengths);
}

TEST_CASE("a station with a hold takes until the hold is over") {
    const course::ReadBook read = course::read_book(R"(
course = "hold"
revision = "1"
[surfaces]
pier_deck = "pier deck"
coil_deck = "coil deck"
[[station]]
key = "leap"
name = "leap"
start = "pier_deck"
landing = { surface = "coil_deck", parts = "both feet", hold = 2 }
)");
    REQUIRE(read.book);
    const course::SurfaceId coil = read.book->find_surface("coil_deck");
    test::TrueRun run;
    run.standing = {{course::Part::left_foot, read.book->find_surface("pier_deck")}};
    const std::int64_t start = 103'000'000, left = 904'000'000, right = 957'000'000;
    run.events = {
        {start, ruling::Signal{ruling::SignalKind::start_given}, {}},
        {700'000'000, ruling::Release{course::Part::left_foot, read.book->find_surface("pier_deck")}, {}},
        {left, ruling::Touch{course::Part::left_foot, coil}, {}},
        {right, ruling::Touch{course::Part::right_foot, coil}, {}},
        {4'000'000'000, ruling::Release{course::Part::left_foot, coil}, {}}};
    oracle::Dice dice(kSeed);
    test::Seen seen;
    seen.frame = 10'000'000;
    const study::StudiedRun leap = opened(*read.book, test::filmed(run, seen, dice));
    const study::StationFigures& station = leap.figures.stations[0];
    CHECK(station.verdict == ruling::Verdict::clear);
    REQUIRE(station.time.known());
    CHECK(holds(station.time, right + 2'000'000'000 - start));
    // A frame at each end, and 50 parts in a million of the hold and of the rest.
    CHECK(station.time.high->ns - station.time.low->ns <= 2 * 10'000'000 + 2 * 150'000);
    CHECK_FALSE(station.time.doubt.any());
}

TEST_CASE("who touches a thing anew left it first where the frames leave the order open") {
    const course::CourseBook book = test::pier_nine();
    const course::SurfaceId hawser = book.find_surface("hawser");
    test::TrueRun run;
    run.events = {{100'000'000, ruling::Signal{ruling::SignalKind::start_given}, {}},
                  {500'000'000, ruling::Touch{course::Part::left_hand, hawser}, {}},
                  {610'000'000, ruling::Touch{course::Part::left_hand, hawser}, {}},
                  {610'000'000, ruling::Release{course::Part::left_hand, hawser}, {}}};
    oracle::Dice dice(kSeed);
    ruling::Evidence evidence = test::filmed(run, {}, dice);
    evidence.marks[2].sightings[0].after = base::Time{590'000'000};
    evidence.marks[2].sightings[0].until = base::Time{620'000'000};
    evidence.marks[3].sightings[0].after = base::Time{600'000'000};
    evidence.marks[3].sightings[0].until = base::Time{630'000'000};
    const auto grips = opened(book, evidence).figures.grips;
    REQUIRE(grips.size() == 2);
    CHECK(grips[0].touch == evidence.marks[1].id);
    CHECK(grips[0].leave == evidence.marks[3].id);
    CHECK(grips[1].touch == evidence.marks[2].id);
    CHECK(grips[1].time.doubt.end_unseen);
}
