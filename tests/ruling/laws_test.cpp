// Laws of section 7 of docs/rulings.md, as properties over random small reviews (the stories of
// tests/oracle). The seed is fixed and printed, and a failure prints its review.
#include <rapidcheck.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <iostream>

#include "oracle/case_text.h"
#include "oracle/random_case.h"
#include "ruling/ruling.h"

using namespace plumbmark;
using oracle::Case;
using oracle::Dice;
using ruling::RunRuling;
using ruling::StationRuling;
using ruling::Verdict;

namespace {

constexpr std::uint64_t kSeed = 1'991;
constexpr int kReviews = 120;

template <class Testable>
bool holds(const std::string& law, Testable&& testable) {
    rc::detail::TestMetadata about;
    about.id = about.description = law;
    rc::detail::TestParams params;
    params.seed = kSeed;
    params.maxSuccess = kReviews;
    params.maxDiscardRatio = 20;
    std::cout << "seed " << kSeed << ": " << law << "\n";
    const auto result = rc::detail::checkTestable(std::forward<Testable>(testable), about, params);
    printResultMessage(result, std::cout);
    std::cout << "\n";
    return result.template is<rc::detail::SuccessResult>();
}

Case any_case() {
    return oracle::random_case(*rc::gen::inRange<std::uint64_t>(0, 1'000'000));
}

bool shown(Verdict verdict) {
    return verdict == Verdict::clear || verdict == Verdict::fail;
}

std::string text_of(const base::Result<RunRuling>& ruled) {
    if (!ruled.ok()) return ruled.error().text() + "\n";
    std::string text;
    for (const StationRuling& station : ruled.value().stations) {
        text += std::string("  ") + ruling::verdict_words(station.verdict) +
                (station.if_reached ? " if reached" : "");
        for (ruling::Clause clause : station.failing_clauses)
            text += std::string(" ") + ruling::clause_key(clause);
        text += "\n";
    }
    return text;
}

// The laws speak of verdicts, clauses and results; explanations would only take time.
base::Result<RunRuling> rule(const Case& one) {
    ruling::Settings settings;
    settings.explain = false;
    return ruling::rule_run(one.book, one.evidence, settings);
}

struct Pair {
    base::Result<RunRuling> before;
    base::Result<RunRuling> after;
};

Pair rule_both(const Case& before, const Case& after) {
    Pair both{rule(before), rule(after)};
    // For a failure to print.
    RC_LOG() << oracle::describe(before) << text_of(both.before) << "changed to\n"
             << oracle::describe(after) << text_of(both.after);
    const auto tangled = [](const base::Result<RunRuling>& ruled) {
        return !ruled.ok() && ruled.error().category == base::Category::too_tangled;
    };
    RC_PRE(!tangled(both.before) && !tangled(both.after));
    return both;
}

// Verdicts, clauses and results alike; a refusal is alike to a refusal.
void expect_same(const Case& before, const Case& after) {
    const Pair both = rule_both(before, after);
    RC_ASSERT(both.before.ok() == both.after.ok());
    if (!both.before.ok()) return;
    for (std::size_t i = 0; i < both.before.value().stations.size(); ++i) {
        const StationRuling& a = both.before.value().stations[i];
        const StationRuling& b = both.after.value().stations[i];
        RC_ASSERT(a.verdict == b.verdict);
        RC_ASSERT(a.if_reached == b.if_reached);
        RC_ASSERT(a.failing_clauses == b.failing_clauses);
    }
    RC_ASSERT(both.before.value().results == both.after.value().results);
}

template <class T>
void shuffle(Dice& dice, std::vector<T>& all) {
    for (std::size_t i = all.size(); i > 1; --i)
        std::swap(all[i - 1], all[static_cast<std::size_t>(dice.below(static_cast<int>(i)))]);
}

Dice any_dice() {
    return Dice(*rc::gen::inRange<std::uint64_t>(0, 1'000'000));
}

// The frame before (or after) this time, or none at the clip's end.
std::optional<base::Time> frame_before(const ruling::ClipFacts& clip, base::Time t) {
    const auto at = std::lower_bound(clip.frame_times.begin(), clip.frame_times.end(), t);
    if (at == clip.frame_times.begin()) return std::nullopt;
    return *(at - 1);
}
std::optional<base::Time> frame_after(const ruling::ClipFacts& clip, base::Time t) {
    const auto at = std::upper_bound(clip.frame_times.begin(), clip.frame_times.end(), t);
    if (at == clip.frame_times.end()) return std::nullopt;
    return *at;
}

void widen(Dice& dice, Case& review) {
    for (ruling::Mark& mark : review.evidence.marks) {
        for (ruling::Sighting& seen : mark.sightings) {
            const ruling::ClipFacts& clip = review.evidence.clips[static_cast<std::size_t>(seen.clip.value)];
            if (seen.after && dice.percent(40)) seen.after = frame_before(clip, *seen.after);
            if (seen.until && dice.percent(40)) seen.until = frame_after(clip, *seen.until);
        }
    }
}

}  // namespace

TEST_CASE("widening a bracket never turns NOT SHOWN into a shown ruling, nor CLEAR into FAIL") {
    CHECK(holds("widening brackets", [] {
        const Case before = any_case();
        Case after = before;
        Dice dice = any_dice();
        widen(dice, after);
        const Pair both = rule_both(before, after);
        RC_PRE(both.before.ok());
        RC_ASSERT(both.after.ok());
        for (std::size_t i = 0; i < both.before.value().stations.size(); ++i) {
            const Verdict was = both.before.value().stations[i].verdict;
            const Verdict is = both.after.value().stations[i].verdict;
            if (was == Verdict::not_shown) RC_ASSERT(is == Verdict::not_shown);
            if (shown(was)) RC_ASSERT(is == was || is == Verdict::not_shown);
        }
    }));
}

TEST_CASE("shifting a clip's times changes nothing") {
    CHECK(holds("shifting a clip", [] {
        const Case before = any_case();
        Case after = before;
        const auto clip =
            static_cast<std::int64_t>(*rc::gen::inRange<std::size_t>(0, before.evidence.clips.size()));
        const base::Duration shift{*rc::gen::inRange<std::int64_t>(-3'600'000'000'000, 3'600'000'000'000)};
        const auto move = [&](std::optional<base::Time>& t) {
            if (t) t = *t + shift;
        };
        for (base::Time& t : after.evidence.clips[static_cast<std::size_t>(clip)].frame_times)
            t = t + shift;
        for (ruling::Mark& mark : after.evidence.marks) {
            for (ruling::Sighting& seen : mark.sightings) {
                if (seen.clip.value != clip) continue;
                move(seen.after);
                move(seen.until);
            }
        }
        for (ruling::ContactStatement& said : after.evidence.contacts) {
            if (said.clip.value == clip) said.at = said.at + shift;
        }
        for (ruling::WatchedSpan& span : after.evidence.spans) {
            if (span.clip.value != clip) continue;
            span.after = span.after + shift;
            span.until = span.until + shift;
        }
        expect_same(before, after);
    }));
}

TEST_CASE("adding a watched span never turns CLEAR into FAIL or FAIL into CLEAR") {
    CHECK(holds("adding a watched span", [] {
        const Case before = any_case();
        Case after = before;
        Dice dice = any_dice();
        const std::vector<base::Time>& frames = before.evidence.clips[0].frame_times;
        const int from = dice.below(static_cast<int>(frames.size()) - 1);
        const int to = from + 1 + dice.below(static_cast<int>(frames.size()) - from - 1);
        ruling::WatchedSpan span{ruling::MarkId{1'000},
                                 ruling::ClipIndex{0},
                                 frames[static_cast<std::size_t>(from)],
                                 frames[static_cast<std::size_t>(to)],
                                 {}};
        span.scope.whole_athlete = dice.percent(60);
        span.scope.finish_signal = dice.percent(30);
        span.scope.surfaces = {course::SurfaceId{dice.below(static_cast<int>(before.book.surfaces.size()))}};
        after.evidence.spans.push_back(span);
        const Pair both = rule_both(before, after);
        RC_PRE(both.before.ok());
        if (!both.after.ok()) {
            RC_ASSERT(both.after.error().category == base::Category::contradiction);
            return;
        }
        for (std::size_t i = 0; i < both.before.value().stations.size(); ++i) {
            const Verdict was = both.before.value().stations[i].verdict;
            const Verdict is = both.after.value().stations[i].verdict;
            if (shown(was)) RC_ASSERT(is == was || is == Verdict::not_reached);
            if (was == Verdict::not_reached) RC_ASSERT(is == was);
        }
    }));
}

TEST_CASE("marks in any order give the same ruling") {
    CHECK(holds("the order of marks", [] {
        const Case before = any_case();
        Case after = before;
        Dice dice = any_dice();
        shuffle(dice, after.evidence.marks);
        shuffle(dice, after.evidence.contacts);
        shuffle(dice, after.evidence.spans);
        for (ruling::Mark& mark : after.evidence.marks)
            shuffle(dice, mark.alternatives);
        expect_same(before, after);
    }));
}

TEST_CASE("names and numbers of marks do not matter to a ruling") {
    CHECK(holds("renaming", [] {
        const Case before = any_case();
        Case after = before;
        std::int64_t n = 0;
        const auto rename = [&](auto& thing) {
            thing.key = "k" + std::to_string(++n);
            thing.name = "名" + std::to_string(n);
        };
        for (course::Surface& surface : after.book.surfaces)
            rename(surface);
        for (course::Plane& plane : after.book.planes)
            rename(plane);
        for (course::Station& station : after.book.stations)
            rename(station);
        for (ruling::ClipFacts& clip : after.evidence.clips)
            clip.name = "camera " + std::to_string(++n);
        const auto renumber = [](auto& one) { one.id.value = 5'000 - 7 * one.id.value; };
        std::for_each(after.evidence.marks.begin(), after.evidence.marks.end(), renumber);
        std::for_each(after.evidence.contacts.begin(), after.evidence.contacts.end(), renumber);
        std::for_each(after.evidence.spans.begin(), after.evidence.spans.end(), renumber);
        expect_same(before, after);
    }));
}
