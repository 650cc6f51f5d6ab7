#include "study/compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "base/worded.h"

namespace plumbmark::study {
namespace {

using base::Duration;
using base::worded;
using ruling::SpanBounds;

std::optional<Duration> minus(std::optional<Duration> a, std::optional<Duration> b) {
    return a && b ? std::optional(*a - *b) : std::nullopt;
}

std::int64_t floor_div(std::int64_t a, std::int64_t b) {
    return a / b - (a % b != 0 && (a < 0) != (b < 0) ? 1 : 0);
}

/// Hundredths of a second as text, of an amount that is not negative.
std::string hundredths(std::int64_t count) {
    return fmt::format("{}.{:02}", count / 100, count % 100);
}
constexpr std::int64_t kHundredth = 10'000'000;
std::string shortened(Duration d) {
    return hundredths(floor_div(d.ns, kHundredth));
}
std::string lengthened(Duration d) {
    return hundredths(-floor_div(-d.ns, kHundredth));
}
std::string nearest(Duration d) {
    return hundredths(floor_div(d.ns + kHundredth / 2, kHundredth));
}

}  // namespace

// --- differences ---

Told Difference::told() const {
    if (low && low->ns > 0) return Told::longer;
    if (high && high->ns < 0) return Told::shorter;
    return low && high ? Told::no_difference : Told::not_known;
}

std::optional<Duration> Difference::middle() const {
    if (!low || !high) return std::nullopt;
    return Duration{low->ns + floor_div(high->ns - low->ns, 2)};
}

Difference difference(const Length& a, const Length& b) {
    Difference difference{minus(a.low, b.high), minus(a.high, b.low), a.doubt};
    difference.doubt.add(b.doubt);
    return difference;
}

base::Sentence lost_words(const Difference& difference) {
    switch (difference.told()) {
        case Told::longer: {
            const auto middle = difference.middle();
            if (!middle) return worded("lost at least {} s", shortened(*difference.low));
            return worded("lost {} s, between {} and {} s", nearest(*middle), shortened(*difference.low),
                          lengthened(*difference.high));
        }
        case Told::shorter: {
            const auto middle = difference.middle();
            if (!middle) return worded("won at least {} s", shortened(-*difference.high));
            return worded("won {} s, between {} and {} s", nearest(-*middle), shortened(-*difference.high),
                          lengthened(-*difference.low));
        }
        case Told::no_difference:
            return worded("no difference that these frames can show");
        case Told::not_known:
            break;
    }
    return worded("not known");
}

// --- one run against a group ---

Length of_group(std::span<const Length> lengths, Against against) {
    constexpr std::int64_t kAnyLonger = std::numeric_limits<std::int64_t>::max();
    std::vector<std::int64_t> lows, highs;
    Length all;
    for (const Length& length : lengths) {
        if (!length.low) continue;
        lows.push_back(length.low->ns);
        highs.push_back(length.high ? length.high->ns : kAnyLonger);
        all.doubt.add(length.doubt);
    }
    if (lows.empty()) return all;
    std::sort(lows.begin(), lows.end());
    std::sort(highs.begin(), highs.end());
    const std::size_t upper = against == Against::best ? 0 : lows.size() / 2;
    const std::size_t lower = against == Against::best ? 0 : (lows.size() - 1) / 2;
    all.low = Duration{lows[lower] + (lows[upper] - lows[lower]) / 2};
    if (highs[upper] != kAnyLonger) all.high = Duration{highs[upper] - (highs[upper] - highs[lower]) / 2};
    return all;
}

std::vector<StationLoss> losses(const RunFigures& mine, std::span<const RunFigures* const> others,
                                Against against) {
    std::vector<StationLoss> all;
    for (std::size_t k = 0; k < mine.stations.size(); ++k) {
        StationLoss loss;
        loss.station = mine.stations[k].station;
        loss.mine = mine.stations[k].time;
        std::vector<Length> theirs;
        for (const RunFigures* other : others) {
            if (k < other->stations.size() && other->stations[k].time.low)
                theirs.push_back(other->stations[k].time);
        }
        loss.compared = static_cast<std::int64_t>(theirs.size());
        loss.theirs = of_group(theirs, against);
        loss.lost = difference(loss.mine, loss.theirs);
        all.push_back(loss);
    }
    return all;
}

// --- from the time of one run to that of the other ---

namespace {

__extension__ typedef __int128 Wide;  // 128 bits are an extension of both compilers in use

/// from_0 goes to to_0 and from_1 to to_1; what lies between, in proportion, to the nearest, halves up.
std::int64_t between_two(std::int64_t from_0, std::int64_t from_1, std::int64_t to_0, std::int64_t to_1,
                         std::int64_t at) {
    const Wide length = Wide{from_1} - from_0;
    const Wide twice = 2 * (Wide{at} - from_0) * (Wide{to_1} - to_0) + length;
    return static_cast<std::int64_t>(to_0 + twice / (2 * length));  // nothing here is negative
}

base::Time through(const std::vector<Matched>& matched, base::Time Matched::*from, base::Time Matched::*to,
                   base::Time at) {
    if (matched.empty()) return at;
    const auto after = std::upper_bound(matched.begin(), matched.end(), at,
                                        [&](base::Time time, const Matched& m) { return time < m.*from; });
    if (after == matched.begin()) return matched.front().*to + (at - matched.front().*from);
    const Matched& before = *std::prev(after);
    if (after == matched.end()) return before.*to + (at - before.*from);
    return base::Time{
        between_two((before.*from).ns, ((*after).*from).ns, (before.*to).ns, ((*after).*to).ns, at.ns)};
}

}  // namespace

TimeMap::TimeMap(const std::vector<Matched>& matched) {
    for (const Matched& match : matched) {
        if (matched_.empty() || (matched_.back().a < match.a && matched_.back().b < match.b))
            matched_.push_back(match);
    }
}

base::Time TimeMap::to_b(base::Time a) const {
    return through(matched_, &Matched::a, &Matched::b, a);
}

base::Time TimeMap::to_a(base::Time b) const {
    return through(matched_, &Matched::b, &Matched::a, b);
}

TimeMap TimeMap::exchanged() const {
    std::vector<Matched> exchanged;
    for (const Matched& match : matched_)
        exchanged.push_back({match.b, match.a});
    return TimeMap(exchanged);
}

// --- two runs side by side ---

std::vector<Alignable> alignable(const StudiedRun& run) {
    std::vector<std::pair<std::int64_t, Alignable>> all;
    const auto add = [&](const Alignable& event) {
        if (event.mark.valid())
            all.emplace_back(run.spans.likely_place(run.spans.sightings(event.mark)), event);
    };
    const auto told_by = [](const std::vector<ruling::SettledBy>& ways) {
        const bool one = ways.size() == 1 && !ways.front().at_the_latest && ways.front().later.ns == 0;
        return one ? ways.front().mark : ruling::MarkId{};
    };
    for (std::size_t k = 0; k < run.moments.size(); ++k) {
        const auto what = k == 0 ? Alignable::What::start : Alignable::What::station;
        add({what, run.moments[k].station, told_by(run.moments[k].begins)});
    }
    for (const Stretch& flight : run.figures.flights)
        add({Alignable::What::take_off, flight.station, flight.from});
    std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<Alignable> events;
    for (const auto& [place, event] : all)
        events.push_back(event);
    return events;
}

std::optional<base::Time> likely_time(const StudiedRun& run, ruling::ClipIndex clip, ruling::MarkId mark) {
    const SpanBounds where = run.spans.on_clip(clip, run.spans.sightings(mark));
    if (!where.low || !where.high) return std::nullopt;
    return base::Time{where.low->ns + floor_div(where.high->ns - where.low->ns, 2)};
}

namespace {

std::optional<Matched> matched_of(const StudiedRun& a, ruling::ClipIndex clip_a, const StudiedRun& b,
                                  ruling::ClipIndex clip_b, const SameEvent& event) {
    const auto in_a = likely_time(a, clip_a, event.a);
    const auto in_b = likely_time(b, clip_b, event.b);
    if (!in_a || !in_b) return std::nullopt;
    return Matched{*in_a, *in_b};
}

}  // namespace

std::optional<TimeMap> same_moment(const StudiedRun& a, ruling::ClipIndex clip_a, const StudiedRun& b,
                                   ruling::ClipIndex clip_b, const SameEvent& anchor) {
    const auto matched = matched_of(a, clip_a, b, clip_b, anchor);
    if (!matched) return std::nullopt;
    return TimeMap({*matched});
}

TimeMap same_phase(const StudiedRun& a, ruling::ClipIndex clip_a, const StudiedRun& b,
                   ruling::ClipIndex clip_b, const std::vector<SameEvent>& same) {
    std::vector<Matched> all;
    for (const SameEvent& event : same) {
        if (const auto matched = matched_of(a, clip_a, b, clip_b, event)) all.push_back(*matched);
    }
    return TimeMap(all);
}

namespace {

Difference apart(const SpanBounds& a, const SpanBounds& b) {
    return {minus(a.low, b.high), minus(a.high, b.low), {}};
}

/// Marks in doubt, ascending by id.
std::vector<std::pair<ruling::MarkId, Doubt>> doubts_of(const StudiedRun& run) {
    std::vector<std::pair<ruling::MarkId, Doubt>> doubts;
    for (const ruling::Mark& mark : run.evidence.marks) {
        Doubt doubt;
        doubt.possible = mark.possible;
        doubt.alternatives = mark.alternatives.size() > 1;
        if (doubt.any()) doubts.emplace_back(mark.id, doubt);
    }
    std::sort(doubts.begin(), doubts.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    return doubts;
}

void add_doubt(const std::vector<std::pair<ruling::MarkId, Doubt>>& doubts, ruling::MarkId mark, Doubt& to) {
    const auto found =
        std::lower_bound(doubts.begin(), doubts.end(), mark,
                         [](const auto& doubt, ruling::MarkId id) { return doubt.first < id; });
    if (found != doubts.end() && found->first == mark) to.add(found->second);
}

}  // namespace

std::vector<CurvePoint> curve(const StudiedRun& a, const StudiedRun& b, const SameEvent& anchor,
                              const std::vector<SameEvent>& same) {
    const auto doubts_a = doubts_of(a), doubts_b = doubts_of(b);
    std::vector<CurvePoint> points;
    for (const SameEvent& event : same) {
        CurvePoint point{
            event, apart(a.spans.between(anchor.a, event.a), b.spans.between(anchor.b, event.b)), {}};
        const auto note = [&](const SameEvent& from, Doubt& doubt) {
            for (const SameEvent& end : {from, event}) {
                add_doubt(doubts_a, end.a, doubt);
                add_doubt(doubts_b, end.b, doubt);
            }
        };
        note(anchor, point.behind.doubt);
        if (points.empty()) {
            point.grew = point.behind;
        } else {
            const SameEvent& before = points.back().event;
            point.grew = apart(a.spans.between(before.a, event.a), b.spans.between(before.b, event.b));
            note(before, point.grew.doubt);
        }
        points.push_back(point);
    }
    return points;
}

}  // namespace plumbmark::study
