// What judges call in from the floor: calls and times of one run, as one change, with what looks wrong in it.
// Needs no footage.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "meet/changes.h"

namespace plumbmark::meet {

/// One line of the floor's table. What it does not name stays as it is.
struct FloorLine {
    EntryId entry;
    std::map<std::string, std::optional<Call>> calls;  ///< by station key; none: the call is taken back
    std::map<std::string, std::int32_t> points;        ///< by station key, of a fail
    std::map<std::string, std::vector<base::Duration>>
        times;  ///< by station key, "" the finish; empty: taken back
    std::string judge;
    std::optional<WallTime> at;
};

/// The run of an entry that calls go to: the last one; none: nobody has run.
[[nodiscard]] const Run* latest_run(const State& state, EntryId entry);

/// The book that a run of this entry is run under when it is made now: the newest of the meet; none: there is
/// none.
[[nodiscard]] BookId newest_book(const State& state);

/// The change that writes a line down. Makes the run where there is none ('rerun': a further one, as the
/// re-run of the last). 'book' is the course of that run. Errors: bad_input where a station is not of the
/// course, a time is none or more than three watches show it, points are given without a fail; not_found
/// where the entry does not exist.
[[nodiscard]] base::Result<Change> floor_change(const State& state, const course::CourseBook& book,
                                                const FloorLine& line, bool rerun = false);

/// Calls written in the order of the course: "ccf" (c clear, f fail, - not yet, anything case-insensitive).
/// Error bad_input: another letter, or more letters than the course has stations.
[[nodiscard]] base::Result<std::map<std::string, std::optional<Call>>> read_calls(
    std::string_view letters, const course::CourseBook& book);

/// The watches of one time: "61.20" of one, "61.20/61.24" of two or three; empty: none. Errors as
/// read_time().
[[nodiscard]] base::Result<std::vector<base::Duration>> read_watches(std::string_view text);

/// What looks wrong in a run's calls and times, in sentences; nothing is refused for it: a call after the
/// fail that ended the run, a call that is missing before one that is there, a time of a station that was not
/// cleared, times that run backwards along the course, a finish before the last clear.
[[nodiscard]] std::vector<base::Sentence> floor_remarks(const State& state, const course::CourseBook& book,
                                                        RunId run);

}  // namespace plumbmark::meet
