#include "meet/ranking.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <tuple>

#include "base/check.h"

namespace plumbmark::meet {
namespace {

/// What is counted, larger first, and whether there is a time at all: results that agree in it differ by
/// their times only.
struct Class {
    std::int32_t counted;
    bool timed;
    friend bool operator==(const Class&, const Class&) = default;
};

Class class_of(const Score& score, Order order) {
    return {order == Order::points_then_time ? score.points : score.cleared, score.time.has_value()};
}

bool is_before(const Class& a, const Class& b) {
    return std::tuple(b.counted, b.timed) < std::tuple(a.counted, a.timed);
}

/// Smaller first; the shorter of two that begin alike is behind.
Standing by_tie_break(const Score& a, const Score& b) {
    for (std::size_t i = 0; i < std::max(a.tie_break.size(), b.tie_break.size()); ++i) {
        if (i >= a.tie_break.size()) return Standing::behind;
        if (i >= b.tie_break.size()) return Standing::ahead;
        if (a.tie_break[i] < b.tie_break[i]) return Standing::ahead;
        if (b.tie_break[i] < a.tie_break[i]) return Standing::behind;
    }
    return Standing::level;
}

using Indices = std::vector<std::size_t>;

/// Those of one class that have no time, or all the same exact one, settled by the tie-break: 'ahead' counts
/// those before them.
void place_level(const std::vector<Score>& scores, Indices level, std::size_t ahead,
                 std::vector<Placing>& placings) {
    const auto is_ahead = [&](std::size_t a, std::size_t b) {
        return by_tie_break(scores[a], scores[b]) == Standing::ahead;
    };
    std::stable_sort(level.begin(), level.end(), is_ahead);
    std::size_t first = 0;
    for (std::size_t i = 0; i < level.size(); ++i) {
        if (is_ahead(level[first], level[i])) first = i;
        placings[level[i]].place = ahead + first + 1;
    }
}

/// Those of one class with times, 'ahead' results before all of them.
void place_timed(const std::vector<Score>& scores, const Indices& timed, std::size_t ahead,
                 std::vector<Placing>& placings) {
    std::vector<base::Duration> starts, ends;
    std::map<base::Duration, Indices> exact;
    for (const std::size_t i : timed) {
        starts.push_back(scores[i].time->from);
        ends.push_back(scores[i].time->to);
        if (scores[i].time->is_exact()) exact[scores[i].time->from].push_back(i);
    }
    std::sort(starts.begin(), starts.end());
    std::sort(ends.begin(), ends.end());
    for (const std::size_t i : timed) {
        const TimeRange time = *scores[i].time;
        const auto sooner = std::lower_bound(ends.begin(), ends.end(), time.from) - ends.begin();
        const auto later = starts.end() - std::upper_bound(starts.begin(), starts.end(), time.to);
        const auto overlapping = static_cast<std::ptrdiff_t>(timed.size()) - sooner - later;
        const auto alike = time.is_exact() ? static_cast<std::ptrdiff_t>(exact[time.from].size()) : 1;
        placings[i].place = ahead + static_cast<std::size_t>(sooner) + 1;
        placings[i].open = overlapping > alike;
    }
    for (const auto& [time, level] : exact) {
        if (level.size() > 1) place_level(scores, level, placings[level.front()].place - 1, placings);
    }
}

}  // namespace

Standing compared(const Score& a, const Score& b, Order order) {
    const Class ours = class_of(a, order), theirs = class_of(b, order);
    if (ours != theirs) return is_before(ours, theirs) ? Standing::ahead : Standing::behind;
    if (!a.time) return by_tie_break(a, b);
    if (a.time->to < b.time->from) return Standing::ahead;
    if (b.time->to < a.time->from) return Standing::behind;
    const bool exact = a.time->is_exact() && b.time->is_exact();
    return exact ? by_tie_break(a, b) : Standing::not_separated;
}

std::vector<Placing> placings(const std::vector<Score>& scores, Order order) {
    std::vector<Placing> result(scores.size());
    Indices all(scores.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    std::stable_sort(all.begin(), all.end(), [&](std::size_t a, std::size_t b) {
        return is_before(class_of(scores[a], order), class_of(scores[b], order));
    });
    for (std::size_t begin = 0, end = 0; begin < all.size(); begin = end) {
        const Class its = class_of(scores[all[begin]], order);
        while (end < all.size() && class_of(scores[all[end]], order) == its)
            ++end;
        const Indices group(all.begin() + static_cast<std::ptrdiff_t>(begin),
                            all.begin() + static_cast<std::ptrdiff_t>(end));
        its.timed ? place_timed(scores, group, begin, result) : place_level(scores, group, begin, result);
    }
    std::map<std::size_t, std::size_t> with_place;
    for (const Placing& placing : result)
        ++with_place[placing.place];
    for (Placing& placing : result)
        placing.shared = with_place[placing.place] > 1;
    return result;
}

std::size_t best_of(const std::vector<Score>& scores, Order order) {
    PLUMBMARK_CHECK(!scores.empty());
    std::size_t best = 0;
    for (std::size_t i = 1; i < scores.size(); ++i) {
        if (compared(scores[i], scores[best], order) == Standing::ahead) best = i;
    }
    return best;
}

}  // namespace plumbmark::meet
