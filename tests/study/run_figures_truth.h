// Runs of which is known what happened, to the nanosecond: those of the sample meet as its renderer solved
// them (sample_clips/truth.json, docs/sample-meet.md), and made-up ones. What a coach would want to know of
// them is worked out plainly, by following the contacts from event to event, and shares no code with the
// study.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "course/book.h"
#include "oracle/random_case.h"
#include "ruling/evidence.h"

namespace plumbmark::test {

struct TrueEvent {
    std::int64_t ns = 0;
    ruling::Happening what;
    ruling::MarkId mark;  ///< of the evidence made from it
};
using Contact = std::pair<course::Part, course::SurfaceId>;
struct TrueRun {
    std::vector<TrueEvent> events;  ///< ascending
    std::set<Contact> standing;     ///< at the beginning
};

[[nodiscard]] course::CourseBook pier_nine();
/// "run-1" to "run-4".
[[nodiscard]] TrueRun sample_run(const std::string& name);
/// Some seconds of stepping, hanging and swinging about on the surfaces of the book, no rule in mind but that
/// who touches a thing was off it and who leaves it was on it.
[[nodiscard]] TrueRun random_run(oracle::Dice& dice, const course::CourseBook& book, int events);

struct Seen {
    std::int64_t from = 0,
                 frame = 40'000'000;  ///< of the first clip: time of its first frame, and from frame to frame
    bool second_clip =
        false;  ///< with another clock, another rate; some events are on it alone, some on both
    std::int64_t second_offset = 0;  ///< its clock's zero on the first's
    std::int64_t second_frame = 33'366'667;
    std::int64_t row_delay = 0;  ///< of both; each event is seen on some row
};
/// The brackets that such cameras give, all watched. Gives the events the marks made from them.
[[nodiscard]] ruling::Evidence filmed(TrueRun& run, const Seen& seen, oracle::Dice& dice);

/// A stretch of a true run and the marks with which it began and ended; none where it went on at the end.
struct TrueStretch {
    course::Part part = course::Part::other;  ///< for grips
    course::SurfaceId surface;                ///< for grips and rests
    std::int64_t from = 0, to = 0;
    ruling::MarkId begins, ends;
    bool begun_before = false, goes_on = false;
};
struct TrueFigures {
    std::vector<TrueStretch> grips, hangs, flights, rests;
};
/// 'platforms': on what standing is resting; from the start signal on.
[[nodiscard]] TrueFigures figures_of(const TrueRun& run, const std::set<course::SurfaceId>& platforms);

}  // namespace plumbmark::test
