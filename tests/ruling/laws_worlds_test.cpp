// Laws of section 7 of docs/rulings.md about worlds: a world that is drawn by itself from what the review
// says is ruled as the review is where that is shown; and what says more of the same worlds, or less.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "oracle/case_text.h"
#include "ruling/law_tools.h"

using namespace plumbmark;
using namespace plumbmark::test;
using oracle::Case;
using oracle::Dice;
using ruling::Verdict;

namespace {

std::size_t index_of(ruling::ClipIndex clip) {
    return static_cast<std::size_t>(clip.value);
}

// Somewhere in (after, until], to the nanosecond, but often at its ends.
std::int64_t moment_in(Dice& dice, std::int64_t after, std::int64_t until) {
    if (dice.percent(10)) return until;
    if (dice.percent(10)) return after + 1;
    return after + 1 + (until - after - 1) / 1'000 * dice.below(1'000);
}

// One world, drawn without the engine: which doubts are true, how the clips lie to the run's clock, and a
// time for each event within all its brackets; and no event that was not marked.
class DrawnWorld {
  public:
    DrawnWorld(Dice& dice, const Case& review) : dice_(dice), review_(review) {
        for (std::size_t c = 0; c < review.evidence.clips.size(); ++c)
            offsets_.push_back(c == 0 ? 0 : (dice.below(2'001) - 1'000) * kTenth * 6 / 1'000);
    }

    // The review in which every mark has the one frame interval of a very fast clip, and all was watched;
    // none when the times that were drawn do not fit the review.
    std::optional<Case> exact() {
        Case made;
        made.book = review_.book;
        ruling::ClipFacts clip;
        clip.name = "very fast camera";
        clip.frame_times = {base::Time{-kFar}, base::Time{kFar}};
        for (const ruling::Mark& mark : review_.evidence.marks) {
            if (mark.possible && dice_.percent(50)) continue;
            const std::optional<std::int64_t> at = moment_of(mark);
            if (!at || !times_.insert(*at).second) return std::nullopt;
            ruling::Mark sure{mark.id, {dice_.of(mark.alternatives)}, false, {}};
            sure.sightings.push_back({ruling::ClipIndex{0}, base::Time{*at - 1}, base::Time{*at}});
            made.evidence.marks.push_back(sure);
        }
        for (ruling::ContactStatement said : review_.evidence.contacts) {
            said.at = base::Time{said.at.ns + offsets_[index_of(said.clip)]};
            said.clip = ruling::ClipIndex{0};
            made.evidence.contacts.push_back(said);
        }
        ruling::WatchedSpan span{
            ruling::MarkId{100'000}, ruling::ClipIndex{0}, base::Time{-kFar}, base::Time{kFar}, {}};
        span.scope.whole_athlete = span.scope.finish_signal = true;
        made.evidence.spans.push_back(span);
        made.evidence.clips.push_back(clip);
        return made;
    }

  private:
    static constexpr std::int64_t kTenth = 10'000'000;
    static constexpr std::int64_t kFar = 3'600'000'000'000;

    std::optional<std::int64_t> moment_of(const ruling::Mark& mark) {
        std::int64_t after = -kTenth * 10;
        std::int64_t until = kTenth * 60;
        for (const ruling::Sighting& seen : mark.sightings) {
            const std::int64_t offset = offsets_[index_of(seen.clip)];
            if (seen.after) after = std::max(after, seen.after->ns + offset);
            if (seen.until) until = std::min(until, seen.until->ns + offset);
        }
        if (after >= until) return std::nullopt;
        const std::int64_t at = moment_in(dice_, after, until);
        if (mark.possible && would_have_been_seen(mark, at)) return std::nullopt;
        return at;
    }
    // A possible event without a bracket on a clip did not happen inside a watched span of it that covers it.
    [[nodiscard]] bool would_have_been_seen(const ruling::Mark& mark, std::int64_t at) const {
        return std::any_of(
            review_.evidence.spans.begin(), review_.evidence.spans.end(),
            [&](const ruling::WatchedSpan& span) {
                const bool marked_there =
                    std::any_of(mark.sightings.begin(), mark.sightings.end(),
                                [&](const ruling::Sighting& seen) { return seen.clip == span.clip; });
                const std::int64_t offset = offsets_[index_of(span.clip)];
                return !marked_there && at > span.after.ns + offset && at <= span.until.ns + offset;
            });
    }

    Dice& dice_;
    const Case& review_;
    std::vector<std::int64_t> offsets_;
    std::set<std::int64_t> times_;
};

// A world of the review that the engine finds possible, too; many draws break what a body can do.
std::optional<Case> drawn_world(Dice& dice, const Case& review) {
    for (int tries = 0; tries < 30; ++tries) {
        std::optional<Case> exact = DrawnWorld(dice, review).exact();
        if (exact && rule(*exact, 0).ok()) return exact;
    }
    return std::nullopt;
}

/// A possible event did not happen inside a span of a clip on which it has no bracket; once it is certain to
/// have happened that is no longer said of it. So only what has its bracket on every watched clip narrows.
bool is_seen_wherever_watched(const Case& review, const ruling::Mark& mark) {
    return std::all_of(
        review.evidence.spans.begin(), review.evidence.spans.end(), [&](const ruling::WatchedSpan& span) {
            return std::any_of(mark.sightings.begin(), mark.sightings.end(),
                               [&](const ruling::Sighting& seen) { return seen.clip == span.clip; });
        });
}

void resolve_doubts(Dice& dice, Case& review) {
    std::erase_if(review.evidence.marks,
                  [&](const ruling::Mark& mark) { return mark.possible && dice.percent(40); });
    for (ruling::Mark& mark : review.evidence.marks) {
        if (is_seen_wherever_watched(review, mark) && dice.percent(50)) mark.possible = false;
        if (dice.percent(50)) mark.alternatives = {dice.of(mark.alternatives)};
        for (ruling::Happening& what : mark.alternatives) {
            auto* touch = std::get_if<ruling::Touch>(&what);
            if (touch == nullptr || touch->grade != ruling::Grade::ungraded || dice.percent(50)) continue;
            touch->grade = dice.percent(50) ? ruling::Grade::brush : ruling::Grade::weight;
        }
    }
}

// A clip on which some of the events are seen, in the order of their brackets on the first clip.
void add_clip(Dice& dice, Case& review) {
    ruling::ClipFacts clip;
    clip.name = "camera Z";
    for (int k = 0; k < 40; ++k)
        clip.frame_times.push_back(base::Time{std::int64_t{k} * 7'000'000});
    const ruling::ClipIndex index{static_cast<std::int64_t>(review.evidence.clips.size())};
    review.evidence.clips.push_back(clip);
    for (ruling::Mark& mark : review.evidence.marks) {
        if (mark.sightings.empty() || !mark.sightings[0].after || dice.percent(50)) continue;
        const std::int64_t frame = mark.sightings[0].after->ns / 7'000'000 + dice.below(3);
        const auto at = [&](std::int64_t k) {
            return clip.frame_times[static_cast<std::size_t>(std::clamp<std::int64_t>(k, 0, 39))];
        };
        const base::Time after = at(std::min<std::int64_t>(frame - dice.below(2), 38));
        mark.sightings.push_back(
            {index, after, std::max(at(frame + 1 + dice.below(3)), *frame_after(clip, after))});
    }
}

/// The verdict of an appeal about this station.
ruling::Verdict appealed(const Case& review, std::size_t station, const std::vector<bool>& calls) {
    RC_LOG() << oracle::describe(review) << "station " << station << "\n";
    ruling::Settings settings;
    settings.explain = false;
    settings.drift_parts_per_million = 0;
    const auto ruled = ruling::rule_appeal(
        review.book, review.evidence, course::StationId{static_cast<std::int64_t>(station)}, calls, settings);
    RC_ASSERT(ruled.ok());
    return ruled.value().stations[station].verdict;
}

/// Each station but the first that 'ruled' shows, with the calls of the stations before it as it shows them.
template <class Look>
void each_appeal(const ruling::RunRuling& ruled, const Look& look) {
    std::vector<bool> calls;
    for (std::size_t k = 0; k < ruled.stations.size(); ++k) {
        const ruling::StationRuling& station = ruled.stations[k];
        if (!shown(station.verdict)) return;
        if (k > 0) look(k, calls);
        if (station.if_reached) return;
        calls.push_back(station.verdict == ruling::Verdict::clear);
    }
}

}  // namespace

TEST_CASE("a shown ruling stays the same in any world that is drawn by itself", "[laws]") {
    int shown_ones = 0;
    CHECK(holds(
        "worlds drawn by themselves",
        [&] {
            const Case before = any_case();
            Dice dice = any_dice();
            const std::optional<Case> world = drawn_world(dice, before);
            RC_PRE(world.has_value());
            const Pair both = rule_both(before, *world, 0);
            // The review has this world at least.
            RC_ASSERT(both.before.ok());
            RC_PRE(both.after.ok());
            expect_narrowed(both.before.value(), both.after.value());
            for (const ruling::StationRuling& station : both.before.value().stations)
                shown_ones += shown(station.verdict) ? 1 : 0;
        },
        2 * reviews()));
    CHECK((shown_ones > 60 || reviews() < 100));
}

TEST_CASE("taking a watched span away never shows what was not shown", "[laws][slow]") {
    CHECK(holds(
        "taking a watched span away",
        [] {
            const Case before = any_case();
            RC_PRE(!before.evidence.spans.empty());
            Case after = before;
            Dice dice = any_dice();
            after.evidence.spans.erase(after.evidence.spans.begin() +
                                       dice.below(static_cast<int>(after.evidence.spans.size())));
            expect_widened(rule_both(before, after));
        },
        (reviews() + 3) / 4));
}

TEST_CASE("a longer delay of rows never shows what was not shown", "[laws][slow]") {
    int other = 0;
    CHECK(holds(
        "a longer delay of rows",
        [&] {
            Case before = any_case();
            Dice dice = any_dice();
            const std::size_t clip = any_clip(before);
            before.evidence.clips[clip].row_delay = {dice.below(2) * std::int64_t{3'000'000}};
            Case after = before;
            after.evidence.clips[clip].row_delay =
                before.evidence.clips[clip].row_delay +
                base::Duration{1'000'000 + dice.below(25) * std::int64_t{1'000'000}};
            const Pair both = rule_both(before, after);
            expect_widened(both);
            other += both.before.value().results != both.after.value().results ? 1 : 0;
        },
        (reviews() + 3) / 4));
    CHECK((other > 0 || reviews() < 100));
}

TEST_CASE("settling a doubt keeps what is shown", "[laws]") {
    CHECK(narrows("settling doubts", resolve_doubts));
}

TEST_CASE("one more clip that shows an event never makes a shown ruling another one", "[laws]") {
    CHECK(narrows("one more clip", add_clip));
}

TEST_CASE("an appeal whose earlier calls the ruling shows, too, is ruled as the run is", "[laws]") {
    int looked_at = 0;
    CHECK(holds(
        "an appeal with calls that are shown",
        [&] {
            const Case review = any_case();
            const auto ruled = rule(review, 0);
            RC_PRE(ruled.ok());
            each_appeal(ruled.value(), [&](std::size_t k, const std::vector<bool>& calls) {
                RC_ASSERT(appealed(review, k, calls) == ruled.value().stations[k].verdict);
                ++looked_at;
            });
        },
        2 * reviews()));
    CHECK((looked_at > 20 || reviews() < 100));
}

TEST_CASE("an appeal never shows what a world with those calls is not", "[laws]") {
    int looked_at = 0;
    CHECK(holds(
        "an appeal and a world with its calls",
        [&] {
            const Case review = any_case();
            RC_PRE(review.book.stations.size() > 1);
            Dice dice = any_dice();
            const std::optional<Case> world = drawn_world(dice, review);
            RC_PRE(world.has_value());
            const auto in_world = rule(*world, 0);
            RC_PRE(in_world.ok());
            const auto& stations = in_world.value().stations;
            each_appeal(in_world.value(), [&](std::size_t k, const std::vector<bool>& calls) {
                // A clear is taken as completed by a seen event where one fits, which need not be so in the
                // world.
                if (calls.back()) return;
                const ruling::Verdict verdict = appealed(review, k, calls);
                RC_ASSERT((verdict == stations[k].verdict || verdict == ruling::Verdict::not_shown));
                ++looked_at;
            });
        },
        2 * reviews()));
    CHECK((looked_at > 10 || reviews() < 100));
}
