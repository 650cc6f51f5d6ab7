// What runs come to officially, and the standings that follow. All is worked out anew from what the meet file
// holds: nothing here is stored but what was given out (Publication).
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "course/book.h"
#include "meet/changes.h"
#include "meet/ranking.h"

namespace plumbmark::meet {

/// Where standings get what does not stand in the meet's state.
struct Sources {
    /// The course that a run is run under (its revision, division and lane); null: it has none that can be
    /// read, and nothing counts.
    std::function<const course::CourseBook*(const Run&)> course;
    /// The time of a run's last clear from footage; empty, or none for a run: there is no such time.
    std::function<std::optional<TimeRange>(const Run&)> footage_time;
};

struct StationResult {
    std::string station;        ///< key
    std::optional<Call> call;   ///< as it stands, decisions included; none: not given (yet)
    bool decided = false;       ///< by a decision on an appeal
    bool under_appeal = false;  ///< an appeal was lodged and is not decided
    friend bool operator==(const StationResult&, const StationResult&) = default;
};

struct RunResult {
    std::vector<StationResult> stations;  ///< in the order of the course
    Score score;                          ///< times rounded as the meet rounds them; no tie-break
    bool complete = false;       ///< every call that counts is given, no appeal is open, no re-run is due
    bool from_footage = false;   ///< the time is one from footage
    bool rerun_granted = false;  ///< by a decision
    friend bool operator==(const RunResult&, const RunResult&) = default;
};

enum class LineStatus : std::uint8_t { placed, awaited, not_started, withdrawn, disqualified };

struct Line {
    EntryId entry;
    RunId run;  ///< the one that counts; none: nobody ran
    LineStatus status = LineStatus::awaited;
    Placing placing;   ///< where placed
    RunResult result;  ///< of that run
    friend bool operator==(const Line&, const Line&) = default;
};

/// One division in one round: those with a place first, then those whose run is awaited, not started,
/// withdrawn, disqualified; the same place by start number.
struct Standings {
    RoundId round;
    DivisionId division;
    std::vector<Line> lines;
    bool final = false;  ///< every line is complete or has a status that says why not
    friend bool operator==(const Standings&, const Standings&) = default;
};

/// The results of a meet at one moment. Keeps references to both arguments. Building it takes time in
/// proportion to the meet's decisions; its entries are gone through when tables are first asked for, and each
/// run's result is worked out when it is. Not for use by two threads at once.
class Results {
  public:
    Results(const State& state, Sources sources);

    /// Counting: leading clears where the first fail ends the run, else all of them; the points of cleared
    /// stations, and what a fail came to; the time of the last clear (the finish where all are cleared and
    /// the clock took it) from the official clock, else from footage.
    [[nodiscard]] const RunResult& of(const Run& run) const;

    /// Standings of this division in this round, by the meet's rules. Worked out once, as are those of the
    /// rounds before where they break ties; the reference stays good as long as this does.
    [[nodiscard]] const Standings& standings(RoundId round, DivisionId division) const;

    /// Every round and division that have entries: rounds by number, divisions by key.
    [[nodiscard]] std::vector<std::pair<RoundId, DivisionId>> tables() const;
    /// The standings of all of them, in the same order.
    [[nodiscard]] std::vector<Standings> all() const;

  private:
    using EntriesByTable = std::map<std::pair<RoundId, DivisionId>, std::vector<const Entry*>>;

    struct Counting {
        const Run* run = nullptr;
        bool rerun_due = false;
    };

    [[nodiscard]] const EntriesByTable& entries() const;
    [[nodiscard]] RunResult work_out(const Run& run) const;
    [[nodiscard]] std::optional<base::Duration> clock_time(const Run& run, const std::string& station) const;
    void add_stations(RunResult& result, const Run& run, const course::CourseBook& book) const;
    void add_time(RunResult& result, const Run& run, const course::CourseBook& book) const;
    [[nodiscard]] Standings placed(RoundId round, DivisionId division) const;
    /// Null where there are none or several.
    [[nodiscard]] const Run* only_run(EntryId entry) const;
    [[nodiscard]] Counting counting_run(EntryId entry) const;
    [[nodiscard]] Line line_of(const Entry& entry) const;
    void add_tie_breaks(std::vector<Line>& lines, const Round& round, DivisionId division) const;

    const State& state_;
    Sources sources_;
    std::map<AppealId, const Decision*> decision_on_;
    mutable std::optional<EntriesByTable> entries_;  // none: nobody asked for tables
    // References to the values of both stay good.
    mutable std::unordered_map<RunId, RunResult> results_;
    mutable std::map<std::pair<RoundId, DivisionId>, Standings> standings_;
};

/// Why a line stands elsewhere than before.
enum class MoveCause : std::uint8_t { came, went, own_result, others };

struct Move {
    EntryId entry;
    std::optional<std::int32_t> from, to;  ///< places; none: without one
    MoveCause cause = MoveCause::others;
    friend bool operator==(const Move&, const Move&) = default;
};

/// What moved between two publications of the same division and round: lines whose place, status, count or
/// time differ, in the order of the later one, then those that went.
[[nodiscard]] std::vector<Move> moves(const std::vector<PublishedLine>& before,
                                      const std::vector<PublishedLine>& after);

/// The lines as they are given out.
[[nodiscard]] std::vector<PublishedLine> published_lines(const Standings& standings, const TimeForm& form);

/// "1:01.20"; "61.18 to 61.30" for a bracket.
[[nodiscard]] std::string range_text(const TimeRange& range, base::Duration unit);

}  // namespace plumbmark::meet
