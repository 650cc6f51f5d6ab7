#include "meet/capture.h"

#include <algorithm>
#include <limits>

#include "base/check.h"
#include "base/worded.h"

namespace plumbmark::meet {
namespace {

using base::worded;

__extension__ typedef __int128 Wide;  // 128 bits are an extension of both compilers in use

constexpr std::int64_t kLargestTerm = 1'000'000;
constexpr std::int64_t kLargestRate = 100'000;
constexpr std::int64_t kNanoseconds = 1'000'000'000;
constexpr std::int64_t kEnd = std::numeric_limits<std::int64_t>::max();

Wide divisor_of(Wide a, Wide b) {
    while (b != 0) {
        const Wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/// The product in lowest terms. Where it does not fit, both terms are halved: that happens only with time
/// bases that no file has, and leaves 62 good bits.
base::Rational times(base::Rational a, base::Rational b) {
    Wide num = Wide{a.num} * b.num, den = Wide{a.den} * b.den;
    const Wide divisor = divisor_of(num, den);
    if (divisor > 1) {
        num /= divisor;
        den /= divisor;
    }
    while (num > kEnd || den > kEnd) {
        num >>= 1;
        den >>= 1;
    }
    return {static_cast<std::int64_t>(num), static_cast<std::int64_t>(std::max(den, Wide{1}))};
}

std::int64_t clamped(Wide value) {
    return static_cast<std::int64_t>(std::clamp(value, Wide{-kEnd}, Wide{kEnd}));
}

/// floor(ticks * seconds * 10^9).
Wide floor_nanoseconds(Wide ticks, base::Rational seconds) {
    const Wide limit = Wide{kEnd} * 2;
    const Wide product = std::clamp(ticks, -limit, limit) * seconds.num;
    Wide whole = product / seconds.den, rest = product % seconds.den;
    if (rest < 0) {
        rest += seconds.den;
        --whole;
    }
    const Wide most = Wide{kEnd} / kNanoseconds + 1;
    return std::clamp(whole, -most, most) * kNanoseconds + rest * kNanoseconds / seconds.den;
}

}  // namespace

bool is_rate(base::Rational rate) {
    return rate.num > 0 && rate.den > 0 && rate.num <= kLargestTerm && rate.den <= kLargestTerm &&
           rate.num <= kLargestRate * rate.den && rate.num * 1000 >= rate.den;
}

bool rates_differ(const Rates& rates) {
    const Wide recorded = Wide{rates.recorded.num} * rates.shown.den;
    const Wide shown = Wide{rates.shown.num} * rates.recorded.den;
    return recorded * 50 > shown * 51 || shown * 50 > recorded * 51;
}

/// Further than this a tick of a usual time base is no nanosecond any more.
static bool too_far_apart(const Rates& rates) {
    const Wide recorded = Wide{rates.recorded.num} * rates.shown.den;
    const Wide shown = Wide{rates.shown.num} * rates.recorded.den;
    return recorded > shown * 10'000 || shown > recorded * 10'000;
}

base::Sentence problem_of(const CaptureMap& map) {
    if (!map.empty() && map.front().from.number != 0)
        return worded("the first stretch of its capture time does not begin with frame 0");
    for (std::size_t i = 0; i < map.size(); ++i) {
        const CaptureStretch& stretch = map[i];
        if (i > 0 &&
            (map[i - 1].from.number >= stretch.from.number || map[i - 1].from.pts >= stretch.from.pts))
            return worded("the stretches of its capture time are not in order");
        const bool retimed = stretch.pace == Pace::retimed;
        if (retimed && (!is_rate(stretch.rates.recorded) || !is_rate(stretch.rates.shown)))
            return worded("a rate of its capture time is not between 1/1000 and 100000 pictures a second");
        if (retimed && too_far_apart(stretch.rates))
            return worded("a stretch of its capture time is slowed or sped up more than ten thousand times");
        if (!retimed && stretch.rates != Rates{})
            return worded("a stretch of its capture time has rates, yet it is not of another rate");
    }
    return {};
}

CaptureClock::CaptureClock(const CaptureMap& map, base::Rational time_base) : time_base_(time_base) {
    PLUMBMARK_CHECK(time_base.den > 0 && problem_of(map).empty());
    for (const CaptureStretch& stretch : map) {
        Piece piece{stretch.from.pts, stretch.pace, time_base, time(stretch.from.pts)};
        if (stretch.pace == Pace::retimed) {
            const Rates& rates = stretch.rates;
            const base::Rational faster = times(rates.shown, {rates.recorded.den, rates.recorded.num});
            piece.seconds_per_tick = times(time_base, faster);
        }
        pieces_.push_back(piece);
    }
}

base::Time CaptureClock::time_in(const Piece& piece, std::int64_t pts) const {
    const Wide begins = piece.begins.ns;
    if (piece.pace != Pace::retimed)
        return {
            clamped(begins + floor_nanoseconds(pts, time_base_) - floor_nanoseconds(piece.from, time_base_))};
    return {clamped(begins + floor_nanoseconds(Wide{pts} - piece.from, piece.seconds_per_tick))};
}

base::Time CaptureClock::time(std::int64_t pts) const {
    const auto after = std::upper_bound(pieces_.begin(), pieces_.end(), pts,
                                        [](std::int64_t t, const Piece& piece) { return t < piece.from; });
    if (!pieces_.empty()) return time_in(after == pieces_.begin() ? pieces_.front() : *(after - 1), pts);
    return {clamped(floor_nanoseconds(pts, time_base_))};
}

bool CaptureClock::unknown_between(std::int64_t from, std::int64_t to) const {
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
        if (pieces_[i].pace != Pace::unknown) continue;
        const bool begins_before = i == 0 || pieces_[i].from < to;
        const bool ends_after = i + 1 == pieces_.size() || pieces_[i + 1].from > from;
        if (from < to && begins_before && ends_after) return true;
    }
    return false;
}

FrameRef first_shown(const std::vector<RepeatedPictures>& repeats, FrameRef frame, bool exact_only) {
    // Exact and near repetitions may follow on each other.
    while (true) {
        const auto found = std::partition_point(
            repeats.begin(), repeats.end(), [&](const RepeatedPictures& r) { return r.last < frame.number; });
        if (found == repeats.end() || frame.number <= found->first.number) return frame;
        if (exact_only && !found->exact) return frame;
        frame = found->first;
    }
}

}  // namespace plumbmark::meet
