// Two runs, or one among several, held against each other. Every difference carries what the frames of both
// runs leave open, and one that is smaller says so. Pure; deterministic.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "base/sentence.h"
#include "study/run_figures.h"

namespace plumbmark::study {

// --- differences ---

enum class Told : std::uint8_t {
    longer,         ///< it was longer, whatever the frames leave open
    shorter,        ///< it was shorter
    no_difference,  ///< none that these frames can show
    not_known,      ///< a length of which too little was seen
};

/// One length minus another: between 'low' and 'high', both possible. None: not bounded on that side.
struct Difference {
    std::optional<base::Duration> low, high;
    Doubt doubt;  ///< of both
    /// 'longer' where low > 0, 'shorter' where high < 0; with both ends otherwise 'no_difference', else
    /// 'not_known'.
    [[nodiscard]] Told told() const;
    /// Half way between the ends, rounded down; none without both.
    [[nodiscard]] std::optional<base::Duration> middle() const;
    friend bool operator==(const Difference&, const Difference&) = default;
};

/// a - b, of two runs: nothing that is open in one has to do with what is open in the other. Law: the
/// difference of b and a has the same ends negated and exchanged.
[[nodiscard]] Difference difference(const Length& a, const Length& b);

/// "lost 0.32 s, between 0.28 and 0.36 s", "won ...", "no difference that these frames can show", "not
/// known", "lost at least 0.28 s". Hundredths of a second, the middle rounded to the nearest, the ends
/// outward.
[[nodiscard]] base::Sentence lost_words(const Difference& difference);

// --- one run against a group ---

enum class Against : std::uint8_t { best, median };

/// What the best, or the median, of these lengths can have been: of the lengths that are in the group, the
/// least (or the middle one; of an even number, half way between the middle two) for every choice within
/// their bounds. A length without a low end does not count; one without a high end may be any longer. No ends
/// where none counts. Doubts are those of all that count.
[[nodiscard]] Length of_group(std::span<const Length> lengths, Against against);

struct StationLoss {
    course::StationId station;
    Length mine, theirs;
    Difference lost;            ///< mine - theirs
    std::int64_t compared = 0;  ///< how many of the group have a time there
    friend bool operator==(const StationLoss&, const StationLoss&) = default;
};
/// For each station of 'mine', against the runs with that station; 'mine' is not among 'others' (a run held
/// against itself would seem open where it is not). For an athlete's own best: the athlete's other runs.
/// Times 'only if cleared' are those of the others as well as one's own; leave such a run out where that is
/// not wanted.
[[nodiscard]] std::vector<StationLoss> losses(const RunFigures& mine,
                                              std::span<const RunFigures* const> others, Against against);

// --- from the time of one run to that of the other ---

/// One instant in both runs, each on the clock of one clip of its run.
struct Matched {
    base::Time a, b;
    friend bool operator==(const Matched&, const Matched&) = default;
};

/// Piecewise linear through the matched instants; before the first and after the last both run equally fast.
/// Between two of them the exact value is rounded to the nearest nanosecond, halves up. Times within 4 *
/// 10^18 ns of zero.
///
/// Laws: monotone both ways. At a matched instant exactly the other, both ways. The map from B to A is that
/// of the same matches exchanged. Where B is not shown in fewer nanoseconds than A, there and back is where
/// one began; elsewhere it is at most half a nanosecond of B, told in A's, away, and half of one of A's.
class TimeMap {
  public:
    /// Keeps, of the given, those that come strictly later in both runs than the one kept before. An empty
    /// map is the identity.
    explicit TimeMap(const std::vector<Matched>& matched);
    [[nodiscard]] base::Time to_b(base::Time a) const;
    [[nodiscard]] base::Time to_a(base::Time b) const;
    [[nodiscard]] const std::vector<Matched>& matched() const { return matched_; }
    /// The same with the runs exchanged.
    [[nodiscard]] TimeMap exchanged() const;

  private:
    std::vector<Matched> matched_;
};

// --- two runs side by side ---

/// An event of each run that is taken for the same.
struct SameEvent {
    ruling::MarkId a, b;
    course::StationId station;  ///< of run A, likely
    friend bool operator==(const SameEvent&, const SameEvent&) = default;
};

/// The events that both runs have in the same order: the start signal, touches and releases of one surface by
/// hands, by feet or by another part, and crossings of one plane; as many as can be, the same hand or foot
/// before the other. Events that may not have happened, or may have been others, are left out. Ties are
/// broken the same way for (a, b) and (b, a) up to the order of what is equally good.
///
/// Cost: the events of one station by those of the other run's; where these are more than four million pairs,
/// only what lies within 500 places of the diagonal is tried.
[[nodiscard]] std::vector<SameEvent> same_events(const StudiedRun& a, const StudiedRun& b);

/// The instants at which runs can be laid over each other.
struct Alignable {
    enum class What : std::uint8_t { start, station, take_off } what = What::start;
    course::StationId station;  ///< that begins, or in which it is
    ruling::MarkId mark;
    friend bool operator==(const Alignable&, const Alignable&) = default;
};
/// The start signal, each station's beginning, and each leaving that begins a flight, in their likely order;
/// only what a mark tells.
[[nodiscard]] std::vector<Alignable> alignable(const StudiedRun& run);

/// The clock on which a run is watched: the middle of what the frames of this clip leave open; none where the
/// event lies nowhere on the clip.
[[nodiscard]] std::optional<base::Time> likely_time(const StudiedRun& run, ruling::ClipIndex clip,
                                                    ruling::MarkId mark);

/// The same moment: both runs at the speed they were run at, with one event of each laid over the other. None
/// where one of them lies nowhere on its clip.
[[nodiscard]] std::optional<TimeMap> same_moment(const StudiedRun& a, ruling::ClipIndex clip_a,
                                                 const StudiedRun& b, ruling::ClipIndex clip_b,
                                                 const SameEvent& anchor);
/// The same phase: B's time warped so that every event in 'same' lies over A's.
[[nodiscard]] TimeMap same_phase(const StudiedRun& a, ruling::ClipIndex clip_a, const StudiedRun& b,
                                 ruling::ClipIndex clip_b, const std::vector<SameEvent>& same);

/// A point of the curve: at this event, how much longer A had been under way since the anchor than B.
struct CurvePoint {
    SameEvent event;
    Difference behind;  ///< A's time since the anchor minus B's; before the anchor, times to it are negative
    /// By how much it grew since the point before, by each run's own time from event to event: no wider, and
    /// often much narrower, than the two points' bounds subtracted. At the first point: 'behind'.
    Difference grew;
    friend bool operator==(const CurvePoint&, const CurvePoint&) = default;
};
/// Along the course, at each event of 'same', in its order. Law: curve(b, a) of the exchanged events is this
/// one negated.
[[nodiscard]] std::vector<CurvePoint> curve(const StudiedRun& a, const StudiedRun& b, const SameEvent& anchor,
                                            const std::vector<SameEvent>& same);

}  // namespace plumbmark::study
