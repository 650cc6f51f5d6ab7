// Calls and times that a judge wrote into a table: looked through row by row, and entered whole or not at
// all; and the same given out.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/table.h"
#include "course/book.h"
#include "meet/floor_entry.h"
#include "review/competition.h"

namespace plumbmark::review {

struct CallRow {
    std::int64_t line = 0;  ///< of the file, from 1
    std::string number;
    std::string words;                  ///< what would be entered: "bollard hop clear; finish 1:01.20"
    std::vector<std::string> problems;  ///< why the row cannot be entered, in sentences
    std::vector<std::string> remarks;   ///< what looks wrong in the run then; it is entered all the same
};

struct CallList {
    std::vector<CallRow> rows;
    std::vector<std::string> problems;  ///< of the table as a whole
    meet::Change change;                ///< enters all rows; only where good()
    [[nodiscard]] bool good() const;
};

/// Reads a table for a round. Columns, by their names whatever their case: 'number'; 'calls' (a letter a
/// station: c, f, -) or a column for each station, by key or name (c, f, clear, fail, - or empty: left as it
/// is); 'time' or 'finish' (61.20, of two or three watches 61.20/61.24); 'time' and a station ('time swing');
/// 'times' (swing=61.20 rungs=70.1); 'judge', 'status', 'reason'. Empty cells leave things as they are. A
/// column of another name is a problem, and so are a number that is not entered or stands twice, and what
/// meet::floor_change refuses. 'judge' is for rows without one. Takes time in proportion to rows and entries.
[[nodiscard]] CallList read_call_list(const base::Table& table, const meet::State& state, meet::RoundId round,
                                      const std::string& judge, meet::WallTime at);

/// The round's calls and times as such a table, by heat and start: number, calls, time, times, judge, status,
/// reason. Read back, it changes nothing.
[[nodiscard]] base::Table call_table(const meet::State& state, meet::RoundId round);

/// The course that the next calls of this entry are of; 'rerun': those of a further run. Error not_found.
[[nodiscard]] base::Result<course::CourseBook> course_for_calls(MeetCourses& courses, meet::EntryId entry,
                                                                bool rerun);

/// Adds a time to the line: "61.20", "swing=61.20", "swing=61.20/61.24", "swing=" (taken back): of a station
/// by key, else the finish. Error bad_input.
[[nodiscard]] base::Result<void> read_time_words(const std::string& text, meet::FloorLine& line);

/// Calls and the time of a run in a line: "bollard hop clear, hawser swing fail; 41.20".
[[nodiscard]] std::string called_words(const meet::State& state, MeetCourses& courses, const meet::Run& run);

}  // namespace plumbmark::review
