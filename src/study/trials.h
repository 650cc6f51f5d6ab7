// What the testers' trials of one station come to: which ways were cleared, how often, what nobody has tried,
// what the definition leaves open, and whether the station stands released.
//
// A release proves that a station can be cleared as it is defined. It certifies nothing of its structure,
// padding, fall height or rigging.
//
// Pure; any thread. What a definition's digest is and what a ruling said of a trial comes from the caller.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/sentence.h"
#include "meet/testing.h"
#include "ruling/ruling.h"
#include "study/rates.h"
#include "study/trial_ways.h"

namespace plumbmark::study {

/// English text of the catalogue: what stands above every release.
[[nodiscard]] base::Sentence release_notice();

/// A picture to look at.
struct Still {
    meet::ClipId clip;
    meet::FrameRef frame;
    friend bool operator==(const Still&, const Still&) = default;
};

/// A mark, and the picture that shows it.
struct Sighted {
    meet::MarkId mark;
    Still still;
};

/// Something that a mark names and no definition does.
struct StrayTouch {
    meet::MarkId mark;
    std::string surface;  ///< key; empty: something that the book does not declare at all
    base::Sentence what;  ///< "left hand touches something undeclared"
    std::optional<Still> still;
};

/// What came of a trial.
enum class TrialCame : std::uint8_t {
    cleared,
    failed,
    not_shown,  ///< its ruling is not shown, the station was not reached, or the run cannot be ruled
};

struct TrialResult {
    meet::TrialId id;
    meet::TesterId tester;
    meet::RigId rig;
    meet::RunId run;         ///< none: by eye
    std::string definition;  ///< digest of the definition it was ruled under; empty: by eye, nobody knows
    std::string start;
    std::string landing;  ///< empty: not known
    /// Of the items in play, those that were used, as far as they are known; ascending.
    std::vector<std::string> items;
    TrialCame came = TrialCame::not_shown;
    bool by_eye = false;  ///< nobody ruled it: the tester's word
    base::Sentence how;   ///< the ruling's reason, or what was written down; may be empty
    // Of a ruled trial:
    std::vector<ruling::ClauseFinding> clauses;
    std::vector<ruling::SettleStep> settle;  ///< of one that is not shown
    std::vector<StrayTouch> strays;
    std::optional<Still> still;  ///< where it was decided, or would have to be looked at
    meet::MarkId deciding;       ///< the mark that this still is about; none: no one mark
    /// Of the surfaces that it was on, by key: where a mark first shows it there.
    std::map<std::string, Sighted> touched;
};

struct Tally {
    std::int64_t tried = 0, cleared = 0, failed = 0, not_shown = 0;
    std::int64_t by_eye = 0;  ///< of those tried
    friend bool operator==(const Tally&, const Tally&) = default;
};
/// Cleared of those that came out one way or the other; what is not shown is no trial of it.
[[nodiscard]] Count count_of(const Tally& tally);

struct WayLine {
    Way way;
    Tally tally;
    bool unproven = false;                   ///< still to be shown (still_unproven)
    std::vector<meet::TrialId> trials = {};  ///< those of the tally, as they were entered
};

/// Trials of testers who are alike.
struct GroupLine {
    enum class By : std::uint8_t { stature, level };
    By by = By::stature;
    base::Sentence name;              ///< "1.40 m to under 1.60 m", "club, two seasons", "not known"
    std::optional<int> from_mm = {};  ///< of a stature: a multiple of kStatureStep
    Tally tally;
    Rate rate;
};
/// Statures are grouped in steps of so much (decided here), mm.
inline constexpr int kStatureStep = 200;

/// What the rulings of all trials said of one clause.
struct ClauseLine {
    ruling::Clause clause = ruling::Clause::start;
    std::int64_t kept = 0, broken = 0, not_shown = 0, not_tested = 0;
    [[nodiscard]] bool exercised() const { return kept + broken > 0; }
};

enum class QuestionKind : std::uint8_t {
    undeclared_touch,      ///< of something that no definition names
    undeclared_start,      ///< set off from where the station does not start
    undeclared_landing,    ///< landed where the station does not land
    undeclared_item,       ///< used what is not in play
    clause_not_exercised,  ///< no ruled trial kept or broke it
    not_shown,
    way_never_tried,
    way_never_cleared,
    item_never_used,
};
/// "undeclared_touch" ...: the words used in JSON.
[[nodiscard]] const char* question_key(QuestionKind kind);

/// What would have settled a trial that is not shown.
enum class Remedy : std::uint8_t {
    none,
    look_again,         ///< the footage may hold it: a mark or watched span more, or finer
    better_camera,      ///< only another angle would have
    better_definition,  ///< no single look settles it
};
[[nodiscard]] const char* remedy_key(Remedy remedy);

struct Question {
    std::string key;  ///< stable: a to z, 0 to 9, ':', '.', '_', '-'
    QuestionKind kind = QuestionKind::not_shown;
    base::Sentence sentence;
    Remedy remedy = Remedy::none;
    meet::TrialId trial;  ///< none: of no one trial
    meet::RunId run;
    meet::MarkId mark;
    std::optional<Still> still;
    std::optional<std::string> closed;         ///< the reason that was given for this definition
    std::optional<std::string> closed_before;  ///< one that was given for an earlier definition
};

/// The item of a closing (meet::Closing) of this question as the station is defined now: with the first
/// digits of the definition's digest behind it, so that another definition opens the question again.
[[nodiscard]] std::string closing_item(const std::string& question, const std::string& definition);
/// A key of the course book in the letters of a question's key: others become '.' and two hexadecimal digits
/// for each byte.
[[nodiscard]] std::string plain_key(std::string_view key);

/// How two set-ups of a rig differ, a sentence each, as their items say; empty: not at all. The order of
/// items is nothing.
[[nodiscard]] std::vector<base::Sentence> rig_differences(const meet::RigState& then,
                                                          const meet::RigState& now);

enum class Standing : std::uint8_t {
    never_released,
    changed,  ///< the definition or the rig is another one than was released
    open,     ///< released, and something has come up since
    proven,
};
[[nodiscard]] const char* standing_key(Standing standing);

struct ReleaseState {
    Standing standing = Standing::never_released;
    std::optional<meet::Release> release;  ///< the latest
    bool definition_changed = false, rig_changed = false;
    std::vector<base::Sentence> changes;  ///< what is another one
};

/// All that is known of a station. References are to what must outlive the call.
struct StationTrials {
    const course::CourseBook& book;  ///< the one in force
    course::StationId station;
    std::string definition;  ///< its digest, 64 hexadecimal digits
    std::vector<TrialResult> results;
    std::map<meet::TesterId, meet::Tester> testers;
    /// Of this station alone; others are left aside.
    std::vector<meet::RigState> rigs;
    std::vector<meet::Closing> closings;
    std::vector<meet::Release> releases;
};

struct TrialsWish {
    double confidence = 0.95;
    Method method = Method::wilson;
    std::optional<double> bound;  ///< that the lower end of the rate is to reach, between 0 and 1
};

struct StationReport {
    std::string key, name, definition;
    std::optional<meet::RigState> rig;  ///< the latest; none: nobody wrote one down
    Ways ways;
    std::vector<WayLine> lines;  ///< the ways; where not all are listed, then others that were tried
    Tally elsewhere;             ///< trials that went none of these ways, or nobody knows which
    Tally all;
    /// Trials of another definition or of another rig: counted nowhere else.
    Tally set_aside;
    Rate rate;
    std::vector<GroupLine> groups;
    std::vector<ClauseLine> clauses;  ///< those that the station has
    std::vector<Question> questions;  ///< the open ones first, by kind
    ReleaseState release;
    /// With a wish for a bound: how many trials more, if all are cleared, and if it goes on as so far.
    std::optional<FurtherTrials> if_all_clear, as_so_far;
    [[nodiscard]] std::vector<const Question*> open() const;
};

/// A trial counts where it was ruled under the definition that holds now (one by eye: always) and on a rig
/// with the items of the latest one. Errors: bad_input (confidence or bound not between 0 and 1).
[[nodiscard]] base::Result<StationReport> station_report(const StationTrials& trials,
                                                         const TrialsWish& wish = {});

/// The station alone as a course book of its own, in the text of course/write.h: its definition, the surfaces
/// and planes it names, what the plan says of them, and which contacts count. Two texts are the same where
/// and only where the station is defined the same. Its SHA-256 is the definition's digest.
[[nodiscard]] std::string definition_text(const course::CourseBook& book, course::StationId station);

}  // namespace plumbmark::study
