// One run laid open for the coach: times of stations, rhythm, grips, hangs, rests, flights and touches, each
// with the least and the most that it can have been by what the frames show. Pure; the same evidence gives
// the same figures on every machine.
//
// What is what (the course book's roles, docs/rulings.md section 4):
//   station time   from the event with which the ruling has the station begin to the one that completes it
//                  (ruling/spans.h, station_moments): the completion is where the split of a run is read,
//                  too.
//   grip           a hand on a surface, from its touch to its leaving.
//   hang           both feet off everything and at least one hand on something.
//   rest           a foot, or both, on a surface that is some station's start or landing; from the start
//                  signal on, where it is marked.
//   flight         no part of the body on anything (hair, clothing and gear are no contact here).
//   beat           from one touch of a hand to the next touch of either hand, within a station; the same for
//                  feet.
//   touches        events of a limb coming onto anything, after the station began and until its completion.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"
#include "ruling/spans.h"

namespace plumbmark::study {

/// Why a figure is worth less than its bounds say, or why it has none.
struct Doubt {
    bool possible = false;         ///< rests on a mark of an event that may not have happened
    bool alternatives = false;     ///< rests on a mark that may have been something else
    bool unwatched = false;        ///< nobody watched all of it: something unseen may have cut it in two
    bool begin_unseen = false;     ///< no mark says when it began
    bool end_unseen = false;       ///< no mark says when it ended
    bool order_open = false;       ///< which of its marks came first is open: it may not have been at all
    bool no_lengths = false;       ///< a clip shows order only, or nothing ties the clips
    bool only_if_cleared = false;  ///< of a station that is not shown: what it took if it was cleared
    [[nodiscard]] bool any() const { return *this != Doubt{}; }
    void add(const Doubt& other);
    friend bool operator==(const Doubt&, const Doubt&) = default;
};

/// A length of time: at least 'low', at most 'high', in whole nanoseconds, both possible as far as the
/// evidence says. No low end: nothing is known of it. No high end: 'at least' low; 'doubt' says why.
struct Length {
    std::optional<base::Duration> low, high;
    Doubt doubt;
    [[nodiscard]] bool known() const { return low && high; }
    friend bool operator==(const Length&, const Length&) = default;
};

/// A hand from touch to leaving.
struct Grip {
    course::Part part = course::Part::left_hand;
    course::SurfaceId surface;  ///< none: something undeclared
    ruling::MarkId touch;       ///< none: not seen
    ruling::MarkId leave;       ///< none: not seen
    course::StationId station;  ///< in which it began, likely; none: in none
    Length time;
    friend bool operator==(const Grip&, const Grip&) = default;
};
/// A stretch in which something held all through: a hang, a flight. Where several marks can have been the one
/// that began or ended it, the likely one is named; its length is bounded over all.
struct Stretch {
    ruling::MarkId from, to;  ///< none: not seen
    course::StationId station;
    Length time;
    friend bool operator==(const Stretch&, const Stretch&) = default;
};
struct Rest {
    course::SurfaceId surface;
    Stretch stretch;
    friend bool operator==(const Rest&, const Rest&) = default;
};
/// Between two touches that follow each other. Where their brackets overlap, which was first is open, and the
/// beat is at least nothing.
struct Beat {
    ruling::MarkId from, to;
    Length time;
    friend bool operator==(const Beat&, const Beat&) = default;
};
struct TouchCount {
    course::Part part = course::Part::left_hand;
    std::int64_t low = 0;              ///< that surely happened, and in this station
    std::optional<std::int64_t> high;  ///< none: nobody watched all of it, there may be any number more
    friend bool operator==(const TouchCount&, const TouchCount&) = default;
};

struct StationFigures {
    course::StationId station;
    ruling::Verdict verdict = ruling::Verdict::not_reached;
    bool if_reached = false;
    Length time;        ///< no low end where no world clears it
    Length from_start;  ///< from the start signal to the completion
    std::vector<Beat> hands, feet;
    std::vector<TouchCount> touches;  ///< hands, then feet, then other; none where no world clears it
    friend bool operator==(const StationFigures&, const StationFigures&) = default;
};

/// A stretch of a clip, over (after, until] of its clock, in which nobody says that the whole athlete was
/// watched, on this clip or another.
struct Unwatched {
    ruling::ClipIndex clip;
    base::Time after, until;
    friend bool operator==(const Unwatched&, const Unwatched&) = default;
};

struct RunFigures {
    std::vector<StationFigures> stations;  ///< one per station of the book
    std::vector<Grip> grips;               ///< in the likely order of their touches
    std::vector<Stretch> hangs, flights;
    std::vector<Rest> rests;
    /// On the first clip with known lengths (else the first), between its first and its last event.
    std::vector<Unwatched> unwatched;
    friend bool operator==(const RunFigures&, const RunFigures&) = default;
};

/// A run with all that comparing it takes. A value.
struct StudiedRun {
    ruling::Evidence evidence;
    ruling::Spans spans;
    std::vector<ruling::StationMoments> moments;
    RunFigures figures;
};

/// Errors as rule_run: it rules the run once, bare, and takes verdicts from there. What is not of the ruling
/// is near linear in the number of marks.
[[nodiscard]] base::Result<StudiedRun> lay_open(const ruling::PreparedCourse& course,
                                                const ruling::Evidence& evidence,
                                                const ruling::Settings& settings = {});
/// The same where the moments of the stations are at hand: those of this evidence on this course. Errors:
/// bad_input (they are not as many as the course has stations), and as Spans::make.
[[nodiscard]] base::Result<StudiedRun> lay_open(const ruling::PreparedCourse& course,
                                                const ruling::Evidence& evidence,
                                                std::vector<ruling::StationMoments> moments,
                                                const ruling::Settings& settings = {});

}  // namespace plumbmark::study
