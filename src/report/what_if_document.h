// What another course book or other settings would change in the rulings of a meet.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "course/book.h"
#include "ruling/ruling.h"

namespace plumbmark::report {

/// One side of a comparison: how a run was ruled there, or why it could not be.
struct RuledSide {
    std::string revision;                     ///< of the course book; empty where the run has none
    std::optional<course::CourseBook> book;   ///< of the run's division, in its lane
    std::optional<ruling::RunRuling> ruling;  ///< none where 'error' says why
    std::optional<base::Error> error;
};

/// How one station fared, by its key.
enum class StationChange : std::uint8_t {
    same,
    reason,   ///< a fail on both sides, by other clauses
    points,   ///< the verdict is the same, for other points
    verdict,  ///< another verdict, or it holds 'if reached' on one side only
    gone,     ///< the changed book has no such station
    added,    ///< only the changed book has it
};
/// "same", "reason" ...: the words used in JSON.
[[nodiscard]] const char* station_change_key(StationChange change);

struct StationCompared {
    std::string key;
    std::string name;                               ///< on the side before, where it is there
    const ruling::StationRuling* before = nullptr;  ///< null where that side does not have it
    const ruling::StationRuling* after = nullptr;
    StationChange change = StationChange::same;
};

enum class RunChange : std::uint8_t {
    same,
    changed,
    no_longer_ruled,  ///< it could be ruled, and cannot be any more
    now_ruled,        ///< the other way round
    never_ruled,      ///< on neither side
};
/// "same", "changed", "no_longer_ruled", "now_ruled", "never_ruled".
[[nodiscard]] const char* run_change_key(RunChange change);

struct RunCompared {
    std::string label;
    RuledSide before;
    RuledSide after;
};

/// Whether anything of the run differs: a station, a result, or the sentence of its result (a split).
[[nodiscard]] RunChange change_of(const RunCompared& run);
/// Every station of either side, in the order of the side before, those that were added last. The pointers
/// are into 'run'. Empty where one side could not be ruled.
[[nodiscard]] std::vector<StationCompared> stations_compared(const RunCompared& run);

struct WhatIfDocument {
    std::string program_version;
    std::string meet_name;
    std::string book_file;              ///< of the changed book; empty: each run keeps its own
    std::string book_revision;          ///< likewise
    std::vector<std::string> settings;  ///< "brush_counts = false", as they were given
    std::vector<RunCompared> runs;      ///< in the order of the meet
};

struct WhatIfLine {
    int depth = 0;  ///< steps in: of a run 0, of its stations 1, of their reasons 2
    base::Sentence text;
};
/// In sentences: each run that changes with its stations, verdicts and reasons before and after; each that
/// cannot be ruled with its error; and how many do not change. An empty line stands after the heading and
/// after each run. In English and in the chosen language; the rulings' own sentences are spoken where the
/// thread that ruled was Speaking. Names are put through internal/plain.h. Pure; any thread.
[[nodiscard]] std::vector<WhatIfLine> what_if_lines(const WhatIfDocument& document);
/// Their English, for a terminal: three spaces for each step in.
[[nodiscard]] std::string what_if_text(const WhatIfDocument& document);

/// As JSON (docs/what-if.schema.json): UTF-8, members always in the same order, one line feed at the end.
/// Pure; any thread.
[[nodiscard]] std::string what_if_json(const WhatIfDocument& document);

}  // namespace plumbmark::report
