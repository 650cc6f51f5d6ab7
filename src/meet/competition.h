// What a meet file holds of the competition itself: how the meet is run, who takes part, official times,
// appeals, decisions, and results as they were given out. Plain values; what follows from them is worked out
// in standings.h and appeals.h. Members marked personal are kept apart from the journal's chain.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/time.h"
#include "meet/official_time.h"
#include "meet/ranking.h"
#include "meet/values.h"
#include "ruling/ruling.h"

namespace plumbmark::meet {

using DivisionId = base::Id<struct DivisionTag>;
using RoundId = base::Id<struct RoundTag>;
using ClockTimeId = base::Id<struct ClockTimeTag>;
using AppealId = base::Id<struct AppealTag>;
using DecisionId = base::Id<struct DecisionTag>;
using PublicationId = base::Id<struct PublicationTag>;

/// Which of an athlete's runs of one round counts, where a re-run was granted.
enum class Rerun : std::uint8_t { replaces, better };

/// What settles an exact tie.
enum class TieBreak : std::uint8_t {
    shared,        ///< nothing: the place is shared
    round_before,  ///< the place in the round before
};

/// What becomes of a call whose ruling is NOT SHOWN.
enum class WhenUnshown : std::uint8_t { call_stands, athletes_favour, rerun };

/// As whom somebody acts.
enum class Capacity : std::uint8_t { athlete, coach, club, station_judge, head_judge, jury };

struct AppealRules {
    std::int32_t minutes = 30;  ///< after the result was announced; 0: no deadline
    std::vector<Capacity> who{Capacity::athlete, Capacity::coach};  ///< may lodge; each once, ascending
    std::string fee;          ///< "20 EUR", as the meet writes it; empty: none
    std::int32_t most = 0;    ///< per athlete over the whole meet; 0: no limit
    bool may_worsen = false;  ///< a review may also turn a clear into a fail
    WhenUnshown when_unshown = WhenUnshown::call_stands;
    std::int32_t signatures = 1;       ///< 1 or 2
    bool judge_decides_alone = false;  ///< whoever gave the call may decide without somebody else
    friend bool operator==(const AppealRules&, const AppealRules&) = default;
};

/// How the meet is run; there is always exactly one, with key 0.
struct Rules {
    Order order = Order::cleared_then_time;
    TimeForm times;
    Rerun rerun = Rerun::replaces;
    TieBreak tie_break = TieBreak::shared;
    AppealRules appeals;
    friend bool operator==(const Rules&, const Rules&) = default;
};

/// Who is ranked together: an age band by year of birth, in a category of the meet's own.
struct Division {
    DivisionId id;
    std::string key;                                 ///< short, unique: "u14g"; athletes name it
    std::string name;                                ///< "Girls under 14"
    std::optional<std::int32_t> born_from, born_to;  ///< years, both within
    std::string category;                            ///< "girls"; empty: open to all
    std::string course;  ///< key of the division in the course book; empty: the course as it stands
    friend bool operator==(const Division&, const Division&) = default;
};

enum class RoundKind : std::uint8_t { qualifying, final, run_off };

struct Round {
    RoundId id;
    std::string name;  ///< "Final"
    RoundKind kind = RoundKind::final;
    std::int32_t number = 1;  ///< rounds follow one another by it; unique
    friend bool operator==(const Round&, const Round&) = default;
};

enum class EntryStatus : std::uint8_t { entered, not_started, withdrawn, disqualified };

/// One athlete in one round.
struct Entry {
    EntryId id;
    AthleteId athlete;
    RoundId round;
    std::int32_t heat = 1;
    std::int32_t start = 1;  ///< place in the heat's start order
    std::string lane;        ///< key in the course book; empty: the course as it is written
    EntryStatus status = EntryStatus::entered;
    std::string reason;  ///< personal; why withdrawn or disqualified
    friend bool operator==(const Entry&, const Entry&) = default;
};

/// A time of the official clock, from the start signal.
struct ClockTime {
    ClockTimeId id;
    RunId run;
    std::string station;                  ///< key: its completion; empty: the finish
    std::vector<base::Duration> watches;  ///< as read, one to three
    std::string judge;                    ///< personal; who took it
    friend bool operator==(const ClockTime&, const ClockTime&) = default;
};

enum class AppealStatus : std::uint8_t { lodged, refused, withdrawn };

struct Appeal {
    AppealId id;
    RunId run;
    std::string station;    ///< key
    std::string point;      ///< personal; what is asked: "the left foot was on the coil deck first"
    std::string lodged_by;  ///< personal
    Capacity capacity = Capacity::coach;
    WallTime lodged_at;
    bool fee_paid = false;
    AppealStatus status = AppealStatus::lodged;  ///< decided: where a decision names it
    std::string reason;                          ///< personal; why it was refused or withdrawn
    friend bool operator==(const Appeal&, const Appeal&) = default;
};

enum class Outcome : std::uint8_t { call_stands, call_changed, rerun };

struct Signature {
    std::string name;  ///< personal
    Capacity capacity = Capacity::head_judge;
    friend bool operator==(const Signature&, const Signature&) = default;
};

struct Decision {
    DecisionId id;
    AppealId appeal;
    ruling::Verdict ruling = ruling::Verdict::not_shown;  ///< of the station, in the review
    Outcome outcome = Outcome::call_stands;
    Call call = Call::fail;  ///< of the station from now on; without a re-run
    std::string reason;      ///< personal; the ruling in a sentence, and what was weighed
    WallTime decided_at;
    std::vector<Signature> signatures;
    friend bool operator==(const Decision&, const Decision&) = default;
};

/// One line of results as it was given out. No names: they can go on request, places cannot.
struct PublishedLine {
    EntryId entry;
    std::optional<std::int32_t> place;  ///< none: the status says why
    EntryStatus status = EntryStatus::entered;
    std::int32_t cleared = 0;
    std::int32_t points = 0;
    std::string time;  ///< as printed: "1:01.20", "61.18 to 61.30", empty
    friend bool operator==(const PublishedLine&, const PublishedLine&) = default;
};

/// Results of one division in one round, as they were given out. Never changed; a later one supersedes it.
struct Publication {
    PublicationId id;
    RoundId round;
    DivisionId division;
    WallTime at;
    bool official = false;  ///< false: announced provisionally, which starts the time for appeals
    std::vector<PublishedLine> lines;
    std::string note;  ///< personal; why it differs from the one before
    friend bool operator==(const Publication&, const Publication&) = default;
};

}  // namespace plumbmark::meet
