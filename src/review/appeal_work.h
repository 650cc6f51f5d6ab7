// Appeals as the desk and the command line handle them alike: lodging one, opening the run it is about, and
// deciding it by what the review of that run came to.
#pragma once

#include <string>
#include <vector>

#include "meet/appeals.h"
#include "review/session.h"

namespace plumbmark::review {

/// Minutes by which the machine's clock on the wall is before UTC.
[[nodiscard]] int utc_offset_minutes();

/// "14:32": a time of day on the machine's clock.
[[nodiscard]] std::string time_of_day(meet::WallTime time);

/// The number of the run's athlete; the run's label where nobody is named.
[[nodiscard]] std::string number_of(const meet::State& state, const meet::Run& run);

/// "11:32 left", "time is over": what is left of the time for appeals; "no deadline" without one.
[[nodiscard]] std::string time_left(const std::optional<meet::WallTime>& deadline, meet::WallTime now);

/// The change that writes an appeal down, which has no id yet. One with reasons to refuse it is written down
/// as refused, with these. One that is to be heard becomes the question of its run, and marks the call at its
/// station as under appeal. Errors: not_found where its run is not in the state.
struct Lodging {
    meet::Change change;
    meet::AppealId id;
    std::vector<meet::Refusal> refusals;  ///< empty: it is lodged
};
[[nodiscard]] base::Result<Lodging> lodging(const meet::State& state, meet::Appeal appeal);

/// What is to be changed so that the run's review is about this appeal: its question is the appeal's point,
/// and the call at its station is marked as under appeal. Without edits where all is so.
[[nodiscard]] meet::Change opening_for_review(const meet::State& state, const meet::Appeal& appeal);

/// The change that withdraws an appeal; its call is no longer marked. Errors: not_found, bad_input where it
/// is decided already.
[[nodiscard]] base::Result<meet::Change> withdrawal(const meet::State& state, meet::AppealId appeal,
                                                    const std::string& reason);

/// What the review came to at the station that the appeal is about.
struct AppealRuling {
    ruling::Verdict verdict = ruling::Verdict::not_shown;
    ruling::Sentence sentence;  ///< the reason, as the sheet prints it
};
/// By the session's ruling, whose current run must be the appeal's. Errors: busy while it is being reached;
/// not_found where the run's course has no such station; the error of the ruling.
[[nodiscard]] base::Result<AppealRuling> appeal_ruling(const Session& session, const meet::Appeal& appeal);

/// The same from the meet file: opens it for reading, goes to the run and waits until it is ruled.
[[nodiscard]] base::Result<AppealRuling> appeal_ruling(const std::filesystem::path& meet_file,
                                                       meet::AppealId appeal);

/// The decision that this ruling leads to under the rules of the meet, now, with the next free id; whether it
/// may be taken is meet::objection()'s to say. Errors: not_found; bad_input where the station has no call.
[[nodiscard]] base::Result<meet::Decision> decision_by(const meet::State& state, meet::AppealId appeal,
                                                       ruling::Verdict ruling, const std::string& reason,
                                                       const std::vector<meet::Signature>& signatures);

}  // namespace plumbmark::review
