// Laws of section 7 of docs/rulings.md, as properties over random small reviews (the stories of
// tests/oracle). The seed is fixed and printed, and a failure prints its review.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "ruling/law_tools.h"

using namespace plumbmark;
using namespace plumbmark::test;
using oracle::Case;
using oracle::Dice;
using ruling::Verdict;

namespace {

template <class T>
void shuffle(Dice& dice, std::vector<T>& all) {
    for (std::size_t i = all.size(); i > 1; --i)
        std::swap(all[i - 1], all[static_cast<std::size_t>(dice.below(static_cast<int>(i)))]);
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

TEST_CASE("widening a bracket never turns NOT SHOWN into a shown ruling, nor CLEAR into FAIL", "[laws]") {
    CHECK(holds("widening brackets", [] {
        const Case before = any_case();
        Case after = before;
        Dice dice = any_dice();
        widen(dice, after);
        const Pair both = rule_both(before, after);
        expect_widened(both);
    }));
}

TEST_CASE("shifting a clip's times changes nothing", "[laws]") {
    CHECK(holds("shifting a clip", [] {
        const Case before = any_case();
        Case after = before;
        const base::Duration shift{*rc::gen::inRange<std::int64_t>(-3'600'000'000'000, 3'600'000'000'000)};
        retime(after, any_clip(before), [shift](base::Time t) { return t + shift; });
        expect_same(before, after);
    }));
}

TEST_CASE("a clip of which only the order is known tells no lengths: re-timing it changes nothing",
          "[laws]") {
    int several = 0;
    CHECK(holds("re-timing a clip without a rate", [&several] {
        Case before = any_case();
        // Beside other clips is where it could matter; one review in ten or so has two.
        Dice dice = any_dice();
        for (int tries = 0; tries < 8 && before.evidence.clips.size() < 2; ++tries)
            before = oracle::random_case(static_cast<std::uint64_t>(dice.below(1'000'000)));
        const std::size_t clip = any_clip(before);
        several += before.evidence.clips.size() > 1 ? 1 : 0;
        make_order_only(before, clip);
        Case after = before;
        retime(after, clip, Warp(moments_of(before, clip), any_dice()));
        expect_same(before, after);
    }));
    CHECK((several > reviews() / 10 || reviews() < 100));
}

TEST_CASE("what is shown by the order on a clip is shown with its lengths, too", "[laws]") {
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
    // Else the clips' lengths never mattered and nothing was tried.
    CHECK((fewer > 0 || reviews() < 100));
}

TEST_CASE("adding a watched span never turns CLEAR into FAIL or FAIL into CLEAR", "[laws]") {
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
        expect_narrowed(both.before.value(), both.after.value());
    }));
}

TEST_CASE("marks in any order give the same ruling", "[laws]") {
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

TEST_CASE("names and numbers of marks do not matter to a ruling", "[laws]") {
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
