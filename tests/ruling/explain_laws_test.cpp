// What a ruling says of itself is true, as properties over random small reviews: what it rests on shows it
// and nothing can be left out; its margin holds and one frame more does not; settling a doubt leads where it
// says.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "oracle/case_text.h"
#include "ruling/law_tools.h"

using namespace plumbmark;
using namespace plumbmark::test;
using oracle::Case;
using ruling::MarkId;
using ruling::StationRuling;
using ruling::Verdict;

namespace {

int tried() {
    return std::max(4, reviews() / 2);
}

// With its explanations; none where the review is refused, or takes more than a moment.
std::optional<ruling::RunRuling> explained(const Case& review) {
    ruling::Settings settings;
    settings.budget_states = 3'000;
    const auto ruled = ruling::rule_run(review.book, review.evidence, settings);
    if (!ruled.ok()) return std::nullopt;
    return ruled.value();
}

template <class Kept>
void keep(ruling::Evidence& evidence, const Kept& kept) {
    const auto drop = [&](auto& all) { std::erase_if(all, [&](const auto& one) { return !kept(one.id); }); };
    drop(evidence.marks);
    drop(evidence.contacts);
    drop(evidence.spans);
}

Case only(Case review, const std::set<MarkId>& ids) {
    keep(review.evidence, [&](MarkId id) { return ids.contains(id); });
    return review;
}

bool same(const StationRuling& a, const base::Result<ruling::RunRuling>& ruled, std::size_t k) {
    if (!ruled.ok()) return false;
    const StationRuling& b = ruled.value().stations[k];
    return a.verdict == b.verdict && a.failing_clauses == b.failing_clauses &&
           (a.if_reached || !b.if_reached);
}

Case widened(Case review, std::int64_t frames) {
    for (ruling::Mark& mark : review.evidence.marks) {
        for (ruling::Sighting& seen : mark.sightings) {
            const ruling::ClipFacts& clip = review.evidence.clips[static_cast<std::size_t>(seen.clip.value)];
            for (std::int64_t i = 0; i < frames; ++i) {
                if (seen.after) seen.after = frame_before(clip, *seen.after);
                if (seen.until) seen.until = frame_after(clip, *seen.until);
            }
        }
    }
    return review;
}

ruling::Mark& mark_of(Case& review, MarkId id) {
    return *std::find_if(review.evidence.marks.begin(), review.evidence.marks.end(),
                         [id](const ruling::Mark& mark) { return mark.id == id; });
}

// The two in an order that another clip shows.
Case ordered(Case review, MarkId first, MarkId second) {
    const ruling::ClipIndex clip{static_cast<std::int64_t>(review.evidence.clips.size())};
    ruling::ClipFacts angle;
    angle.name = "one more angle";
    for (std::int64_t frame = 0; frame < 3; ++frame)
        angle.frame_times.push_back(base::Time{frame * review.unit_ns});
    review.evidence.clips.push_back(angle);
    mark_of(review, first).sightings.push_back({clip, angle.frame_times[0], angle.frame_times[1]});
    mark_of(review, second).sightings.push_back({clip, angle.frame_times[1], angle.frame_times[2]});
    return review;
}

// The bracket that the step names, in each gap between two frames.
std::vector<Case> tightened(const Case& review, const ruling::SettleStep& step) {
    std::vector<Case> ways;
    const auto& frames = review.evidence.clips[static_cast<std::size_t>(step.where->clip.value)].frame_times;
    for (std::size_t i = 0; i + 1 < frames.size(); ++i) {
        if (step.where->after && frames[i] < *step.where->after) continue;
        if (step.where->until && frames[i + 1] > *step.where->until) continue;
        ways.push_back(review);
        for (ruling::Sighting& seen : mark_of(ways.back(), step.marks.at(0)).sightings) {
            if (seen.clip == step.where->clip) seen = {seen.clip, frames[i], frames[i + 1]};
        }
    }
    return ways;
}

Case watched(Case review, const ruling::SettleStep& step) {
    ruling::WatchedSpan span;
    span.id = MarkId{100'000};
    span.clip = step.where->clip;
    span.after = step.where->after.value();
    span.until = step.where->until.value();
    span.scope.finish_signal = true;
    span.scope.whole_athlete = step.sentence.english().find("the whole athlete") != std::string::npos;
    review.evidence.spans.push_back(span);
    return review;
}

// The review with this possible event or these alternatives settled, once in each way in which it can be.
std::vector<Case> resolved(const Case& review, const ruling::SettleStep& step) {
    const MarkId id = step.marks.at(0);
    std::vector<Case> ways;
    const auto add = [&](const auto& settle) {
        ways.push_back(review);
        settle(mark_of(ways.back(), id));
    };
    Case whole = review;
    const ruling::Mark mark = mark_of(whole, id);
    if (step.sentence.english().find("which it was") != std::string::npos) {
        for (const ruling::Happening& what : mark.alternatives)
            add([&](ruling::Mark& sure) { sure.alternatives = {what}; });
    } else if (step.sentence.english().find("in a brush") != std::string::npos) {
        for (const ruling::Grade grade : {ruling::Grade::brush, ruling::Grade::weight})
            add([&](ruling::Mark& sure) { std::get<ruling::Touch>(sure.alternatives.at(0)).grade = grade; });
    } else {
        add([](ruling::Mark& sure) { sure.possible = false; });
        keep(whole.evidence, [id](MarkId other) { return other != id; });
        ways.push_back(whole);
    }
    return ways;
}

// The review with this doubt settled, once in each way in which it can be.
std::vector<Case> settled(const Case& review, const ruling::SettleStep& step) {
    switch (step.kind) {
        case ruling::SettleKind::resolve_possible:
            return resolved(review, step);
        case ruling::SettleKind::order_marks:
        case ruling::SettleKind::another_angle:
            return {ordered(review, step.marks.at(0), step.marks.at(1)),
                    ordered(review, step.marks.at(1), step.marks.at(0))};
        case ruling::SettleKind::tighten_bracket:
            return tightened(review, step);
        case ruling::SettleKind::watch_span:
            return {watched(review, step)};
    }
    return {};
}

/// The law look(review, station ruling, its index) on every station of random reviews that have a ruling.
template <class Look>
[[nodiscard]] bool holds_on_stations(const std::string& law, int times, Look&& look) {
    return holds(
        law,
        [&] {
            const Case review = any_case();
            const auto ruled = explained(review);
            RC_PRE(ruled.has_value());
            for (std::size_t k = 0; k < ruled->stations.size(); ++k)
                look(review, ruled->stations[k], k);
        },
        times);
}

}  // namespace

TEST_CASE("on random reviews what a ruling rests on shows it, and without any one of it nothing does",
          "[explain]") {
    int looked_at = 0;
    CHECK(holds_on_stations("what a ruling rests on", tried(),
                            [&](const Case& review, const StationRuling& station, std::size_t k) {
                                if (station.rests_on.empty()) return;
                                RC_LOG() << oracle::describe(review) << "station " << k << "\n";
                                ++looked_at;
                                const std::set<MarkId> all(station.rests_on.begin(), station.rests_on.end());
                                RC_ASSERT(same(station, rule(only(review, all)), k));
                                for (const MarkId id : all) {
                                    std::set<MarkId> fewer = all;
                                    fewer.erase(id);
                                    RC_LOG() << "without " << id.value << "\n";
                                    RC_ASSERT(!same(station, rule(only(review, fewer)), k));
                                }
                            }));
    CHECK((looked_at > 10 || reviews() < 100));
}

TEST_CASE("on random reviews a margin holds, and one frame more does not", "[explain]") {
    int looked_at = 0;
    CHECK(holds_on_stations(
        "margins", tried(), [&](const Case& review, const StationRuling& station, std::size_t k) {
            if (!station.margin) return;
            RC_LOG() << oracle::describe(review) << "station " << k << ", margin " << station.margin->frames
                     << "\n";
            ++looked_at;
            const Case base =
                only(review, std::set<MarkId>(station.rests_on.begin(), station.rests_on.end()));
            const auto holds_at = [&](std::int64_t frames) {
                const auto wide = rule(widened(base, frames));
                return wide.ok() && wide.value().stations[k].verdict == station.verdict &&
                       (station.if_reached || !wide.value().stations[k].if_reached);
            };
            RC_ASSERT(holds_at(station.margin->frames));
            if (!station.margin->unlimited) RC_ASSERT(!holds_at(station.margin->frames + 1));
        }));
    CHECK((looked_at > 10 || reviews() < 100));
}

TEST_CASE("on random reviews settling a doubt leads to the verdicts that its step names", "[explain]") {
    std::map<ruling::SettleKind, int> looked_at;
    CHECK(holds_on_stations(
        "settling a doubt", 4 * tried(),
        [&](const Case& review, const StationRuling& station, std::size_t k) {
            for (const ruling::SettleStep& step : station.settle) {
                RC_ASSERT(!step.leads_to.empty());
                RC_LOG() << oracle::describe(review) << "station " << k << ": " << step.sentence << "\n";
                ++looked_at[step.kind];
                std::set<Verdict> reached;
                for (const Case& way : settled(review, step)) {
                    const auto after = rule(way);
                    // What contradicts the rest is no way it can have been.
                    if (!after.ok()) continue;
                    const Verdict verdict = after.value().stations[k].verdict;
                    if (shown(verdict)) reached.insert(verdict);
                }
                RC_ASSERT(reached == std::set<Verdict>(step.leads_to.begin(), step.leads_to.end()));
            }
        }));
    if (reviews() < 100) return;
    CHECK(looked_at[ruling::SettleKind::watch_span] > 3);
    CHECK(looked_at[ruling::SettleKind::tighten_bracket] > 3);
    CHECK(looked_at[ruling::SettleKind::resolve_possible] > 3);
    CHECK(looked_at[ruling::SettleKind::order_marks] + looked_at[ruling::SettleKind::another_angle] > 3);
}
