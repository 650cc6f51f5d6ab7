// Laws of section 7 of docs/rulings.md, as properties over random small reviews (the stories of
// tests/oracle). The seed is fixed and printed, and a failure prints its review.
#include <rapidcheck.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <iostream>
#include <map>
#include <set>

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

std::size_t any_clip(const Case& review) {
    return *rc::gen::inRange<std::size_t>(0, review.evidence.clips.size());
}

// Every time of this clip becomes another one.
template <class Retime>
void retime(Case& review, std::size_t clip, const Retime& to) {
    const auto on_clip = [clip](ruling::ClipIndex of) { return static_cast<std::size_t>(of.value) == clip; };
    for (base::Time& t : review.evidence.clips[clip].frame_times)
        t = to(t);
    for (ruling::Mark& mark : review.evidence.marks) {
        for (ruling::Sighting& seen : mark.sightings) {
            if (!on_clip(seen.clip)) continue;
            if (seen.after) seen.after = to(*seen.after);
            if (seen.until) seen.until = to(*seen.until);
        }
    }
    for (ruling::ContactStatement& said : review.evidence.contacts) {
        if (on_clip(said.clip)) said.at = to(said.at);
    }
    for (ruling::WatchedSpan& span : review.evidence.spans) {
        if (!on_clip(span.clip)) continue;
        span.after = to(span.after);
        span.until = to(span.until);
    }
}

std::set<base::Time> moments_of(Case review, std::size_t clip) {
    std::set<base::Time> moments;
    retime(review, clip, [&moments](base::Time t) { return *moments.insert(t).first; });
    return moments;
}

void make_order_only(Case& review, std::size_t clip) {
    review.evidence.clips[clip].durations_known = false;
    review.evidence.clips[clip].row_delay = {0};  // else it would be a length in a clip that tells none
}

// Other times in the same order, from a hundredth of a second to five seconds apart.
class Warp {
  public:
    Warp(const std::set<base::Time>& moments, Dice dice) {
        base::Time then{0};
        for (const base::Time moment : moments)
            to_.emplace(moment,
                        then = then + base::Duration{std::int64_t{10'000'000} * (1 + dice.below(500))});
    }
    base::Time operator()(base::Time t) const { return to_.at(t); }

  private:
    std::map<base::Time, base::Time> to_;
};

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
        const base::Duration shift{*rc::gen::inRange<std::int64_t>(-3'600'000'000'000, 3'600'000'000'000)};
        retime(after, any_clip(before), [shift](base::Time t) { return t + shift; });
        expect_same(before, after);
    }));
}

TEST_CASE("a clip of which only the order is known tells no lengths: re-timing it changes nothing") {
    int several = 0;
    CHECK(holds("re-timing a clip without a rate", [&several] {
        Case before = any_case();
        const std::size_t clip = any_clip(before);
        several += before.evidence.clips.size() > 1 ? 1 : 0;
        make_order_only(before, clip);
        Case after = before;
        retime(after, clip, Warp(moments_of(before, clip), any_dice()));
        expect_same(before, after);
    }));
    CHECK(several > kReviews / 10);
}

TEST_CASE("what is shown by the order on a clip is shown with its lengths, too") {
    int fewer = 0;
    CHECK(holds("taking a clip's rate away", [&fewer] {
        const Case before = any_case();
        Case after = before;
        const std::size_t clip = any_clip(before);
        make_order_only(after, clip);
        Case without_rows = before;  // the delay of rows is a length
        without_rows.evidence.clips[clip].row_delay = {0};
        const Pair both = rule_both(without_rows, after);
        RC_PRE(both.before.ok());
        RC_ASSERT(both.after.ok());
        for (std::size_t i = 0; i < both.before.value().stations.size(); ++i) {
            const Verdict with = both.before.value().stations[i].verdict;
            const Verdict without = both.after.value().stations[i].verdict;
            if (shown(without)) RC_ASSERT(with == without || with == Verdict::not_reached);
            fewer += shown(with) && !shown(without) ? 1 : 0;
        }
    }));
    CHECK(fewer > 0);  // else the clips' lengths never mattered and nothing was tried
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
