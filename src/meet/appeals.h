// The rules of appeals: who may lodge one, until when, what a ruling does to a call, and who may sign.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "meet/changes.h"
#include "ruling/ruling.h"

namespace plumbmark::meet {

/// "14:32": hours and minutes of the day at this offset from UTC.
[[nodiscard]] std::string time_of_day(WallTime time, int utc_offset_minutes);

enum class RefusalKind : std::uint8_t {
    late,      ///< lodged after the deadline
    capacity,  ///< not by one of those who may
    fee,       ///< the fee is not paid
    too_many,  ///< the athlete has lodged as many as the meet allows
    no_call,   ///< the station has no call to appeal against
    no_gain,   ///< a clear: the review could only worsen it, and the meet does not allow that
    again,     ///< the same station of the same run was appealed against before
};

struct Refusal {
    RefusalKind kind;
    base::Sentence sentence;  ///< "The appeal came 4 minutes after the deadline, 14:32."
    friend bool operator==(const Refusal&, const Refusal&) = default;
};

/// When the time for appeals about this run ends: so many minutes after the first announcement of its round
/// and division. None: the meet has no deadline, or the result was not announced yet, or the run stands
/// outside the competition.
[[nodiscard]] std::optional<WallTime> deadline(const State& state, const Run& run);

/// Every reason to refuse this appeal, which need not be in the state yet; empty: it is to be heard. The
/// appeal's run is in the state. Times of day in sentences are UTC plus 'utc_offset_minutes'.
[[nodiscard]] std::vector<Refusal> refusals(const State& state, const Appeal& appeal,
                                            int utc_offset_minutes = 0);

/// What a ruling does to a call under these rules. A shown ruling that differs changes the call (a clear only
/// where the meet lets a review worsen a result), one that agrees upholds it; an unshown one does as the meet
/// says: 'in the athlete's favour' makes a fail a clear.
struct Effect {
    Outcome outcome = Outcome::call_stands;
    Call call = Call::fail;   ///< from now on; where a re-run is granted, the call so far
    base::Sentence sentence;  ///< "The call stands: the footage does not show it."
    friend bool operator==(const Effect&, const Effect&) = default;
};
[[nodiscard]] Effect effect_of(const AppealRules& rules, Call call, ruling::Verdict ruling);

/// Why this decision may not be taken, which need not be in the state yet: too few signatures or one person's
/// twice, the judge of the call alone, an outcome that the ruling does not lead to under the rules, the
/// appeal refused or withdrawn. None: it may. Its appeal is in the state. Names are compared as written, but
/// for blanks at their ends.
[[nodiscard]] std::optional<base::Sentence> objection(const State& state, const Decision& decision);

/// An appeal that waits for its decision.
struct Waiting {
    AppealId appeal;
    std::optional<WallTime> deadline;  ///< for lodging; what is left of it says how soon results can stand
    friend bool operator==(const Waiting&, const Waiting&) = default;
};

/// The appeals that wait, in the order in which they were lodged.
[[nodiscard]] std::vector<Waiting> waiting_appeals(const State& state);

/// The decision that holds on this appeal; null: none yet.
[[nodiscard]] const Decision* decision_on(const State& state, AppealId appeal);

/// The call of the judge at that station of that run, without any decision; null: none was given.
[[nodiscard]] const FloorCall* call_at(const State& state, RunId run, const std::string& station);

/// "athlete", "station judge": as sentences and lists call it.
[[nodiscard]] const char* capacity_words(Capacity capacity);

}  // namespace plumbmark::meet
