// The ruling: station by station, for the run, with what it rests on and what would settle what is not shown.
//
// Its sentences are made in English and, on a thread that is Speaking (base/catalogue.h), in the language of
// the window beside it; the sentences of errors are in the language of the thread alone, since they are only
// shown.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "course/book.h"
#include "ruling/evidence.h"

namespace plumbmark::ruling {

using base::Sentence;

enum class Verdict : std::uint8_t { clear, fail, not_shown, not_reached };

/// "CLEAR", "FAIL", "NOT SHOWN", "NOT REACHED".
[[nodiscard]] const char* verdict_words(Verdict verdict);
/// "clear", "fail", "not_shown", "not_reached": the words used in JSON.
[[nodiscard]] const char* verdict_key(Verdict verdict);

/// The clauses of a station, in the order in which one event's breaches are named.
enum class Clause : std::uint8_t {
    start,        ///< set off from a start surface, behind the start plane
    out_of_play,  ///< nothing undeclared touched
    part,         ///< items touched only by the parts they allow
    order,        ///< required items used, in order, not too many skipped
    once,         ///< no item touched again after it was left
    hands_down,   ///< no hand on the landing before completion
    attempt,      ///< within the attempts allowed
    cap,          ///< within station, rest and run caps
    infraction,   ///< no infraction named by a judge
    landing,      ///< the landing's conditions held together (completion)
    run_ended,    ///< the run ended before the station was completed
};
[[nodiscard]] const char* clause_key(Clause clause);
[[nodiscard]] const char* clause_words(Clause clause);

/// An instant as the footage shows it: on this clip, after one frame's time and at the latest at another's.
struct Shown {
    ClipIndex clip;
    std::optional<base::Time> after;
    std::optional<base::Time> until;
};

/// One event of a world, for the sentences and for drawing a world as a timeline.
struct WorldEvent {
    MarkId mark;  ///< the mark it comes from; none for an unseen event
    Happening what;
    bool unseen = false;  ///< nothing watched forbids it, no mark says it
    base::Time at;        ///< a time that fits, on the clock of 'clip'
    ClipIndex clip;       ///< the clip on whose clock 'at' is told
    Sentence sentence;    ///< "the left foot touches the floor" in the course book's names
};

/// One way it can have been.
struct World {
    std::vector<WorldEvent> events;    ///< in order
    Verdict verdict = Verdict::clear;  ///< of the station it was asked for
    Clause clause = Clause::landing;   ///< by which that station was decided in this world
    Sentence lead;                     ///< "clear if", "fail unless"
    Sentence condition;                ///< "the left foot came onto the quay deck before ..."
    bool unless = false;               ///< it is so unless the condition holds; else if it holds
    Sentence sentence;                 ///< both: "clear if the left foot came onto the quay deck before ..."
};

enum class SettleKind : std::uint8_t {
    watch_span,
    tighten_bracket,
    order_marks,
    resolve_possible,
    another_angle
};

/// A single change that would make the ruling shown; each was tried by ruling again with it.
struct SettleStep {
    SettleKind kind;
    Sentence sentence;              ///< "watch the floor from 0:05.1 to 0:05.4"
    std::vector<MarkId> marks;      ///< what to look at again; may be empty
    std::optional<Shown> where;     ///< where to go on which clip
    std::vector<Verdict> leads_to;  ///< the shown verdicts that it can lead to
};

/// How much the marks may be wrong before the ruling would no longer be shown.
struct Margin {
    std::int64_t frames = 0;  ///< every mark it rests on can be this many frames wider at both ends
    base::Duration time{0};   ///< the supremum of that widening as time
    bool unlimited = false;   ///< no widening within the clips changes it
};

enum class ClauseState : std::uint8_t { kept, broken, not_shown, not_tested };

/// One clause of one station over all worlds.
struct ClauseFinding {
    Clause clause;
    ClauseState state;
    Sentence sentence;  ///< "hands only on the rungs: right foot on rung 2"
};

struct StationRuling {
    course::StationId station;
    Verdict verdict = Verdict::not_reached;
    bool if_reached = false;  ///< some worlds do not reach it: the verdict reads 'if reached'
    Sentence sentence;        ///< the reason in one sentence, in the course book's names
    std::vector<ClauseFinding> clauses;
    std::optional<Clause> deciding_clause;
    std::vector<Clause> failing_clauses;  ///< for FAIL: every clause that decides in some world
    MarkId deciding_mark;  ///< the seen event by which every world has decided; none when there is none
    std::optional<Shown> decided_at;
    std::optional<Shown> begins_at;  ///< for the course row of the run strip, where it is shown
    std::vector<MarkId> rests_on;    ///< none can be left out
    std::optional<Margin> margin;    ///< for shown rulings
    std::vector<World> worlds;       ///< for NOT SHOWN: one of each outcome
    /// Where every station counts: the points that it brings, over the worlds that reach it, ascending: all
    /// of them for a clear, the part credit of the furthest checkpoint otherwise. Empty in the other format.
    std::vector<std::int32_t> points;
    std::vector<SettleStep>
        settle;  ///< for NOT SHOWN: up to three, cheapest first; empty: no single change settles it
};

/// One result the run can have over the worlds.
struct RunResult {
    std::int32_t cleared = 0;  ///< stations cleared
    bool full_clear = false;   ///< every station, and the finish signal where it is required
    std::int32_t points = 0;   ///< where every station counts: points of the clears and part credit; else 0
    friend auto operator<=>(const RunResult&, const RunResult&) = default;
};

/// What it took to find every world of a review, in counts that are the same on every machine. Explanations
/// rule again with parts left out and are not counted.
struct WorkDone {
    std::int64_t states = 0;  ///< that worlds came to; beyond Settings::budget_states a review is refused
    std::int64_t zones = 0;   ///< how often the times of a next event were worked out
    std::int64_t steps = 0;   ///< how often an event was tried on a station, once for each way it can go
    friend bool operator==(const WorkDone&, const WorkDone&) = default;
};

struct RunRuling {
    std::vector<StationRuling> stations;  ///< one per station of the book, in its order
    std::vector<RunResult> results;       ///< the set over the worlds, ascending, without repeats
    std::optional<Shown> split;           ///< completion of the last clear where the results agree on it
    /// Time from the start signal to that completion: more than 'low', at most 'high'. None while no start
    /// was shown or no duration may rest on the clip.
    std::optional<base::Duration> split_low;
    std::optional<base::Duration> split_high;
    Sentence sentence;  ///< "three cleared, split 14.210 to 14.243 s"
    WorkDone work;      ///< tells how near the review is to being too tangled
};

class CourseRoles;

/// A course book made ready, once, for ruling any number of runs on it. Immutable; copies share it; may be
/// used from several threads.
class PreparedCourse {
  public:
    explicit PreparedCourse(course::CourseBook book);
    [[nodiscard]] const course::CourseBook& book() const;
    [[nodiscard]] const std::shared_ptr<const CourseRoles>& roles() const { return roles_; }

  private:
    std::shared_ptr<const CourseRoles> roles_;
};

/// Rules a run. Pure: the same input gives the same bytes. Errors: contradiction (names a smallest set of
/// marks that cannot all be true), too_tangled (names the tangle), bad_input (evidence that does not fit the
/// book or the clips: unknown ids, an empty bracket, a watched span that runs backwards); cancelled
/// (settings.stopped said so); unsupported (course or review larger than the engine's words).
[[nodiscard]] base::Result<RunRuling> rule_run(const PreparedCourse& course, const Evidence& evidence,
                                               const Settings& settings = {});
/// As above, for one run alone.
[[nodiscard]] base::Result<RunRuling> rule_run(const course::CourseBook& book, const Evidence& evidence,
                                               const Settings& settings = {});

/// As rule_run, for an appeal about one station: the earlier stations are taken as called on the floor
/// (called_clear[i] for station i before 'station'); a clear as completed by a seen event where one fits.
[[nodiscard]] base::Result<RunRuling> rule_appeal(const PreparedCourse& course, const Evidence& evidence,
                                                  course::StationId station,
                                                  const std::vector<bool>& called_clear,
                                                  const Settings& settings = {});
[[nodiscard]] base::Result<RunRuling> rule_appeal(const course::CourseBook& book, const Evidence& evidence,
                                                  course::StationId station,
                                                  const std::vector<bool>& called_clear,
                                                  const Settings& settings = {});

}  // namespace plumbmark::ruling
