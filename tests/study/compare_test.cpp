// Two runs held against each other: differences against the true ones and against plain brute force, the map
// between their times, and which of their events are the same.
#include "study/compare.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "oracle/random_case.h"
#include "study/run_figures_truth.h"
#include "study/same_contacts.h"

namespace {

using namespace plumbmark;
using base::Duration;
using base::Time;
using study::Against;
using study::Difference;
using study::Length;
using study::Told;

constexpr std::uint64_t kSeed = 77;

study::StudiedRun opened(const course::CourseBook& book, const ruling::Evidence& evidence) {
    const ruling::PreparedCourse course(book);
    auto run = study::lay_open(course, evidence);
    REQUIRE(run.ok());
    return std::move(*run);
}

struct Filmed {
    test::TrueRun truth;
    study::StudiedRun run;
};
Filmed sample(const course::CourseBook& book, const std::string& name, std::int64_t frame,
              std::uint64_t seed = kSeed, bool two = false) {
    oracle::Dice dice(seed);
    test::TrueRun truth = test::sample_run(name);
    test::Seen seen;
    seen.frame = frame;
    seen.second_clip = two;
    seen.second_offset = 700'000'123;
    const ruling::Evidence evidence = test::filmed(truth, seen, dice);
    return {truth, opened(book, evidence)};
}
std::int64_t time_of(const test::TrueRun& run, ruling::MarkId mark) {
    for (const test::TrueEvent& event : run.events) {
        if (event.mark == mark) return event.ns;
    }
    FAIL("no such mark");
    return 0;
}

Length length(std::int64_t low, std::int64_t high) {
    return {Duration{low}, Duration{high}, {}};
}
bool holds(const Difference& difference, std::int64_t ns) {
    return (!difference.low || difference.low->ns <= ns) && (!difference.high || ns <= difference.high->ns);
}
bool is_negated(const Difference& a, const Difference& b) {
    const auto negated = [](const std::optional<Duration>& d) { return d ? std::optional(-*d) : d; };
    return a.low == negated(b.high) && a.high == negated(b.low);
}

Length random_length(oracle::Dice& dice, int most) {
    Length made;
    if (dice.percent(90)) made.low = Duration{dice.below(most)};
    if (made.low && dice.percent(85)) made.high = *made.low + Duration{dice.below(4)};
    return made;
}

}  // namespace

TEST_CASE("a difference is what every choice within both brackets gives and no more") {
    oracle::Dice dice(kSeed);
    for (int i = 0; i < 2'000; ++i) {
        const Length a = random_length(dice, 12), b = random_length(dice, 12);
        const Difference told = study::difference(a, b);
        CHECK(is_negated(told, study::difference(b, a)));
        if (!a.known() || !b.known()) continue;
        std::int64_t least = 100, most = -100;
        bool longer = true, shorter = true;
        for (std::int64_t x = a.low->ns; x <= a.high->ns; ++x) {
            for (std::int64_t y = b.low->ns; y <= b.high->ns; ++y) {
                least = std::min(least, x - y);
                most = std::max(most, x - y);
                longer &= x > y;
                shorter &= x < y;
            }
        }
        CHECK(told.low == Duration{least});
        CHECK(told.high == Duration{most});
        CHECK(told.told() == (longer ? Told::longer : shorter ? Told::shorter : Told::no_difference));
    }
    CHECK(study::difference({}, length(1, 2)).told() == Told::not_known);
    CHECK(study::difference({Duration{5}, std::nullopt, {}}, length(1, 2)).told() == Told::longer);
}

TEST_CASE("the best and the median of a group are those of every choice within the brackets") {
    oracle::Dice dice(kSeed);
    for (int i = 0; i < 1'000; ++i) {
        std::vector<Length> group;
        for (int n = 1 + dice.below(4); n > 0; --n)
            group.push_back(length(dice.below(10) * 2, 0));
        for (Length& one : group)
            one.high = *one.low + Duration{2 * dice.below(3)};
        for (const Against against : {Against::best, Against::median}) {
            std::int64_t least = 1'000, most = -1;
            std::vector<std::int64_t> choice;
            const auto choose = [&](const auto& self, std::size_t k) -> void {
                if (k < group.size()) {
                    for (std::int64_t x = group[k].low->ns; x <= group[k].high->ns; x += 2) {
                        choice.push_back(x);
                        self(self, k + 1);
                        choice.pop_back();
                    }
                    return;
                }
                std::vector<std::int64_t> sorted = choice;
                std::sort(sorted.begin(), sorted.end());
                const std::size_t n = sorted.size();
                const std::int64_t is =
                    against == Against::best ? sorted.front() : (sorted[(n - 1) / 2] + sorted[n / 2]) / 2;
                least = std::min(least, is);
                most = std::max(most, is);
            };
            choose(choose, 0);
            const Length told = study::of_group(group, against);
            CHECK(told.low == Duration{least});
            CHECK(told.high == Duration{most});
        }
    }
    const std::vector<Length> open{length(5, 6), {Duration{3}, std::nullopt, {}}, {}};
    CHECK(study::of_group(open, Against::best) == length(3, 6));
    CHECK(study::of_group(open, Against::median) == Length{Duration{4}, std::nullopt, {}});
    CHECK_FALSE(study::of_group({}, Against::best).low);
}

TEST_CASE("what was lost is told in hundredths with its ends outward") {
    const auto told = [](std::int64_t low, std::int64_t high) {
        return study::lost_words({Duration{low}, Duration{high}, {}}).english();
    };
    CHECK(told(284'000'000, 356'000'000) == "lost 0.32 s, between 0.28 and 0.36 s");
    CHECK(told(-1'356'000'000, -1'284'000'000) == "won 1.32 s, between 1.28 and 1.36 s");
    CHECK(told(-1, 40'000'000) == "no difference that these frames can show");
    CHECK(told(1, 40'000'000) == "lost 0.02 s, between 0.00 and 0.04 s");
    CHECK(study::lost_words({Duration{284'000'000}, std::nullopt, {}}).english() == "lost at least 0.28 s");
    CHECK(study::lost_words({std::nullopt, Duration{-284'000'000}, {}}).english() == "won at least 0.28 s");
    CHECK(study::lost_words({}).english() == "not known");
}

TEST_CASE("each station is held against the group with bounds that hold the truth") {
    const course::CourseBook book = test::pier_nine();
    // The full clear, and run 4, which takes its own time; their coil deck and quay deck are known.
    const Filmed mine = sample(book, "run-1", 16'666'667), theirs = sample(book, "run-4", 4'166'667);
    const std::vector<const study::RunFigures*> group{&theirs.run.figures};
    const auto losses = study::losses(mine.run.figures, group, Against::best);
    REQUIRE(losses.size() == 3);
    const auto hop = [&](const test::TrueRun& run) {
        for (const test::TrueEvent& event : run.events) {
            const auto* touch = std::get_if<ruling::Touch>(&event.what);
            if (touch != nullptr && touch->surface == book.find_surface("coil_deck"))
                return event.ns - run.events.front().ns;
        }
        return std::int64_t{0};
    };
    CHECK(losses[0].compared == 1);
    CHECK(holds(losses[0].lost, hop(mine.truth) - hop(theirs.truth)));
    CHECK(losses[0].lost.high->ns - losses[0].lost.low->ns < 3 * (16'666'667 + 4'166'667));
    // Against itself, filmed anew, there is nothing that the frames can show.
    const Filmed again = sample(book, "run-1", 20'000'000);
    const std::vector<const study::RunFigures*> same{&again.run.figures};
    for (const study::StationLoss& loss : study::losses(mine.run.figures, same, Against::median))
        CHECK(loss.lost.told() == Told::no_difference);
    for (const study::StationLoss& loss : study::losses(mine.run.figures, {}, Against::best)) {
        CHECK(loss.lost.told() == Told::not_known);
        CHECK(loss.compared == 0);
    }
}

TEST_CASE("the map from run to run is exact at what is matched and monotone and the same both ways") {
    oracle::Dice dice(kSeed);
    for (int i = 0; i < 500; ++i) {
        std::vector<study::Matched> matched;
        std::int64_t a = dice.below(50) - 25, b = dice.below(50) - 25;
        for (int n = dice.below(6); n > 0; --n) {
            matched.push_back({Time{a}, Time{b}});
            a += 1 + dice.below(20);
            b += 1 + dice.below(20);
        }
        const study::TimeMap map(matched), back = map.exchanged();
        REQUIRE(map.matched().size() == matched.size());
        for (const study::Matched& match : matched) {
            CHECK(map.to_b(match.a) == match.b);
            CHECK(map.to_a(match.b) == match.a);
        }
        for (std::int64_t at = -60; at <= 140; ++at) {
            CHECK(map.to_b(Time{at}) <= map.to_b(Time{at + 1}));
            CHECK(map.to_a(Time{at}) <= map.to_a(Time{at + 1}));
            CHECK(map.to_b(Time{at}) == back.to_a(Time{at}));
            CHECK(map.to_a(Time{at}) == back.to_b(Time{at}));
        }
        // Between two matches: the nearest whole number to the exact value, and there and back.
        for (std::size_t k = 1; k < matched.size(); ++k) {
            const std::int64_t da = (matched[k].a - matched[k - 1].a).ns,
                               db = (matched[k].b - matched[k - 1].b).ns;
            for (std::int64_t x = 0; x <= da; ++x) {
                const Time in_a = matched[k - 1].a + Duration{x};
                const std::int64_t y = (map.to_b(in_a) - matched[k - 1].b).ns;
                CHECK(2 * std::abs(y * da - x * db) <= da);
                const std::int64_t off = std::abs((map.to_a(map.to_b(in_a)) - in_a).ns);
                CHECK((db >= da ? off == 0 : 2 * off * db <= da + db));
            }
        }
    }
    CHECK(study::TimeMap({}).to_b(Time{7}) == Time{7});
    // What does not come later in both is no match.
    const study::TimeMap few(
        {{Time{0}, Time{0}}, {Time{5}, Time{0}}, {Time{6}, Time{9}}, {Time{8}, Time{7}}});
    CHECK(few.matched() == std::vector<study::Matched>{{Time{0}, Time{0}}, {Time{6}, Time{9}}});
    // Far from zero, long stretches: 128 bits.
    const std::int64_t far = 4'000'000'000'000'000'000;
    const study::TimeMap wide({{Time{-far}, Time{-far}}, {Time{far}, Time{far - 1}}});
    CHECK(wide.to_b(Time{far}) == Time{far - 1});
    CHECK(wide.to_b(Time{0}) == Time{0});  // half a nanosecond before it, to the later
}

TEST_CASE("a run held against itself has each of its events in common") {
    const course::CourseBook book = test::pier_nine();
    const Filmed one = sample(book, "run-1", 4'166'667), two = sample(book, "run-1", 4'166'667);
    const auto same = study::same_events(one.run, two.run);
    std::size_t events = 0;
    for (const test::TrueEvent& event : one.truth.events) {
        const auto* signal = std::get_if<ruling::Signal>(&event.what);
        events += signal == nullptr || signal->kind == ruling::SignalKind::start_given;
    }
    CHECK(same.size() == events);
    for (const study::SameEvent& event : same)
        CHECK(event.a == event.b);
    const ruling::ClipIndex clip{0};
    const study::TimeMap map = study::same_phase(one.run, clip, two.run, clip, same);
    for (std::int64_t t = 0; t < 14'000'000'000; t += 123'456'789)
        CHECK(map.to_b(Time{t}) == Time{t});
}

TEST_CASE("the events that two runs have in common are as many as a plain search finds") {
    const course::CourseBook book = test::pier_nine();
    // One station alone is under way at most, so that all are tried together.
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        oracle::Dice dice(seed);
        std::vector<study::StudiedRun> runs;
        std::vector<std::vector<ruling::Happening>> told;
        for (int r = 0; r < 2; ++r) {
            test::TrueRun run;
            std::int64_t now = 50'000'000;
            std::set<test::Contact> on;
            for (int n = 3 + dice.below(6); n > 0; --n) {
                const course::Part part =
                    dice.percent(50) ? course::Part::left_foot : course::Part::right_foot;
                const std::vector<const char*> keys{"bollard_1", "bollard_2", "bollard_3"};
                const course::SurfaceId surface = book.find_surface(dice.of(keys));
                if (on.erase({part, surface}) > 0) {
                    run.events.push_back({now, ruling::Release{part, surface}, {}});
                } else {
                    on.insert({part, surface});
                    run.events.push_back({now, ruling::Touch{part, surface}, {}});
                }
                now += 100'000'000;
            }
            test::Seen seen;
            seen.frame = 10'000'000;
            runs.push_back(opened(book, test::filmed(run, seen, dice)));
            told.emplace_back();
            for (const test::TrueEvent& event : run.events)
                told.back().push_back(event.what);
        }
        // Every pair of subsequences, as plainly as can be: the more matches, then the more by the same foot.
        const auto best = [&](const auto& self, std::size_t i, std::size_t j) -> std::pair<int, int> {
            if (i == told[0].size() || j == told[1].size()) return {0, 0};
            std::pair<int, int> most = std::max(self(self, i + 1, j), self(self, i, j + 1));
            const auto* a = std::get_if<ruling::Touch>(&told[0][i]);
            const auto* b = std::get_if<ruling::Touch>(&told[1][j]);
            const auto* c = std::get_if<ruling::Release>(&told[0][i]);
            const auto* d = std::get_if<ruling::Release>(&told[1][j]);
            const bool both = (a && b && a->surface == b->surface) || (c && d && c->surface == d->surface);
            if (!both) return most;
            const auto [more, alike] = self(self, i + 1, j + 1);
            const bool same = told[0][i] == told[1][j];
            return std::max(most, {more + 1, alike + (same ? 1 : 0)});
        };
        const auto [count, alike] = best(best, 0, 0);
        const auto same = study::same_events(runs[0], runs[1]);
        CHECK(static_cast<int>(same.size()) == count);
        int same_foot = 0;
        for (std::size_t k = 0; k < same.size(); ++k) {
            const auto what = [&](std::size_t r, ruling::MarkId mark) {
                for (const ruling::Mark& m : runs[r].evidence.marks) {
                    if (m.id == mark) return m.alternatives.front();
                }
                return ruling::Happening{};
            };
            same_foot += what(0, same[k].a) == what(1, same[k].b);
            if (k > 0) CHECK((same[k - 1].a < same[k].a && same[k - 1].b < same[k].b));
        }
        CHECK(same_foot == alike);
    }
}

TEST_CASE("hands that leave in another order than they came are not taken for one that held on") {
    const course::CourseBook book = test::pier_nine();
    const course::SurfaceId rung = book.find_surface("rung_1"), deck = book.find_surface("gantry_deck");
    const auto laid = [&](bool left_leaves_first) {
        test::TrueRun run;
        std::int64_t now = 0;
        const auto add = [&](const ruling::Happening& what) {
            now += 400'000'000;
            run.events.push_back({now, what, {}});
        };
        const course::Part first = left_leaves_first ? course::Part::left_hand : course::Part::right_hand;
        const course::Part second = left_leaves_first ? course::Part::right_hand : course::Part::left_hand;
        add(ruling::Release{course::Part::left_foot, deck});
        add(ruling::Touch{course::Part::left_hand, rung});
        add(ruling::Touch{course::Part::right_hand, rung});
        add(ruling::Release{first, rung});
        add(ruling::Release{second, rung});
        test::Seen seen;
        seen.frame = 10'000'000;
        oracle::Dice dice(7);
        return opened(book, test::filmed(run, seen, dice));
    };
    const study::StudiedRun a = laid(true), b = laid(false);
    const auto same = study::same_events(a, b);
    CHECK(same.size() == 5);
    const auto kept = study::of_same_contacts(a, b, same);
    REQUIRE(kept.size() == 3);  // the foot, which nothing shows to have come, and both touches
    for (std::size_t k = 0; k < kept.size(); ++k)
        CHECK(kept[k] == same[k]);
    // Either way round, and where nothing was exchanged all of it stays.
    std::vector<study::SameEvent> turned;
    for (const study::SameEvent& event : same)
        turned.push_back({event.b, event.a, event.station});
    CHECK(study::of_same_contacts(b, a, turned).size() == kept.size());
    CHECK(study::of_same_contacts(a, a, study::same_events(a, a)).size() == 5);
}

TEST_CASE("the curve of two sample runs holds the true differences and where they grew") {
    const course::CourseBook book = test::pier_nine();
    for (const bool two_clips : {false, true}) {
        const Filmed a = sample(book, "run-1", 16'666'667, kSeed, two_clips);
        const Filmed b = sample(book, "run-4", 20'000'000, kSeed + 1, two_clips);
        const auto same = study::same_events(a.run, b.run);
        REQUIRE(same.size() > 30);
        const auto aligned = study::alignable(a.run);
        REQUIRE(aligned.size() > 4);
        CHECK(aligned.front().what == study::Alignable::What::start);
        CHECK(std::count_if(aligned.begin(), aligned.end(),
                            [](const auto& e) { return e.what == study::Alignable::What::take_off; }) >= 3);
        for (const study::SameEvent& anchor : {same.front(), same[same.size() / 2]}) {
            const auto points = study::curve(a.run, b.run, anchor, same);
            REQUIRE(points.size() == same.size());
            std::size_t grew = 0;
            for (std::size_t k = 0; k < points.size(); ++k) {
                const auto apart = [&](const study::SameEvent& from, const study::SameEvent& to) {
                    return (time_of(a.truth, to.a) - time_of(a.truth, from.a)) -
                           (time_of(b.truth, to.b) - time_of(b.truth, from.b));
                };
                CHECK(holds(points[k].behind, apart(anchor, same[k])));
                if (k == 0) continue;
                CHECK(holds(points[k].grew, apart(same[k - 1], same[k])));
                grew += points[k].grew.told() == Told::longer || points[k].grew.told() == Told::shorter;
                // Not wider than the two points' bounds subtracted.
                const Difference& before = points[k - 1].behind;
                CHECK(points[k].grew.low->ns >= points[k].behind.low->ns - before.high->ns - 1'000'000);
                CHECK(points[k].grew.high->ns <= points[k].behind.high->ns - before.low->ns + 1'000'000);
            }
            CHECK(grew > 0);
            std::vector<study::SameEvent> exchanged;
            for (const study::SameEvent& event : same)
                exchanged.push_back({event.b, event.a, event.station});
            const auto turned = study::curve(b.run, a.run, {anchor.b, anchor.a, anchor.station}, exchanged);
            for (std::size_t k = 0; k < points.size(); ++k) {
                CHECK(is_negated(points[k].behind, turned[k].behind));
                CHECK(is_negated(points[k].grew, turned[k].grew));
            }
        }
    }
}

TEST_CASE("the same moment lays one event over the other and the same phase all of them") {
    const course::CourseBook book = test::pier_nine();
    const Filmed a = sample(book, "run-1", 16'666'667), b = sample(book, "run-4", 20'000'000);
    const ruling::ClipIndex clip{0};
    const auto same = study::same_events(a.run, b.run);
    const study::SameEvent& anchor = same[same.size() / 3];
    const auto moment = study::same_moment(a.run, clip, b.run, clip, anchor);
    REQUIRE(moment);
    const Time in_a = *study::likely_time(a.run, clip, anchor.a),
               in_b = *study::likely_time(b.run, clip, anchor.b);
    CHECK(std::abs(in_a.ns - time_of(a.truth, anchor.a)) <= 16'666'667);
    CHECK(moment->to_b(in_a) == in_b);
    CHECK(moment->to_b(in_a + Duration{1'234}) == in_b + Duration{1'234});
    const study::TimeMap phase = study::same_phase(a.run, clip, b.run, clip, same);
    CHECK(phase.matched().size() > same.size() * 3 / 4);
    for (const study::Matched& match : phase.matched()) {
        CHECK(phase.to_b(match.a) == match.b);
        CHECK(phase.to_a(phase.to_b(match.a)) == match.a);
    }
}

TEST_CASE("an event on no clip that is watched has no time there") {
    const course::CourseBook book = test::pier_nine();
    Filmed a = sample(book, "run-1", 16'666'667);
    a.run.evidence.clips.push_back({"untied", {}, true, {}});
    const study::StudiedRun run = opened(book, a.run.evidence);
    CHECK_FALSE(study::likely_time(run, ruling::ClipIndex{1}, a.truth.events[3].mark));
    CHECK_FALSE(study::same_moment(run, ruling::ClipIndex{1}, run, ruling::ClipIndex{0},
                                   {a.truth.events[3].mark, a.truth.events[3].mark, {}}));
}
