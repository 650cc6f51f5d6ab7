// What a meet file keeps of trying a course out before anybody runs it, and of what is said to athletes
// afterwards: testers, the rig as it stood, their trials, questions that were closed, stations that were
// released, and a coach's notes. Plain values; what follows from them is worked out elsewhere. Members marked
// personal are kept apart from the journal's chain (personal.h). Stations, surfaces and items are named by
// their keys in the course book.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "meet/capture.h"
#include "meet/ids.h"

namespace plumbmark::meet {

enum class Sex : std::uint8_t { female, male };

/// Lengths of a tester's body, mm, both within.
inline constexpr std::int32_t kShortestLength = 300, kLongestLength = 3'000;
/// Years, both within.
inline constexpr std::int32_t kYoungestTester = 3, kOldestTester = 120;
/// Of what hangs or lies in a rig: mm above the floor, from 0.
inline constexpr std::int32_t kHighestItem = 100'000;

/// Somebody who tries stations out. What is not known is none.
struct Tester {
    TesterId id;
    std::string name;                             ///< personal; never empty
    std::optional<std::int32_t> stature_mm = {};  ///< standing, without shoes
    std::optional<std::int32_t> span_mm = {};     ///< from fingertip to fingertip, arms stretched sideways
    std::optional<std::int32_t> reach_mm = {};    ///< from the floor to the fingertips, one arm raised
    std::optional<std::int32_t> age_years = {};
    std::optional<Sex> sex = {};
    std::string level = {};  ///< personal; "club, two seasons"; may be empty
    friend bool operator==(const Tester&, const Tester&) = default;
};

/// Something that can be set up in more than one way.
struct RigItem {
    std::string what;                            ///< personal, as all free text; "hawser"
    std::string where;                           ///< personal; "hook 3"
    std::optional<std::int32_t> height_mm = {};  ///< above the floor, 0 to kHighestItem; none: not measured
    friend bool operator==(const RigItem&, const RigItem&) = default;
};

/// A photograph of the rig; the file stays where it is.
struct RigPhoto {
    std::string path;              ///< personal; may be empty
    std::string sha256;            ///< of the file (FIPS 180-4), 64 lower-case hexadecimal digits
    std::int64_t taken_at_ms = 0;  ///< milliseconds since 1970-01-01 UTC; 0: not known
    friend bool operator==(const RigPhoto&, const RigPhoto&) = default;
};

/// How one station was set up.
struct RigState {
    RigId id;
    std::string station;  ///< key; never empty
    std::vector<RigItem> items = {};
    std::vector<RigPhoto> photos = {};
    std::string note = {};  ///< personal; may be empty
    friend bool operator==(const RigState&, const RigState&) = default;
};

/// What the tester says of a trial.
enum class TrialOutcome : std::uint8_t { not_said, cleared, failed };

/// One go of a tester at a station.
struct Trial {
    TrialId id;
    std::string station;  ///< key; never empty
    TesterId tester;
    RigId rig;            ///< of the same station
    RunId run = {};       ///< where it was filmed and is ruled; none: judged by eye
    std::string start;    ///< surface key; never empty
    std::string landing;  ///< surface key; empty only where it is not said to have been cleared
    std::vector<std::string> items =
        {};  ///< keys of the optional items used: none empty, ascending, each once
    /// not_said only with a run, whose ruling says it instead.
    TrialOutcome seen = TrialOutcome::not_said;
    std::string how = {};  ///< personal; may be empty
    friend bool operator==(const Trial&, const Trial&) = default;
};

/// An open question about a station that somebody closed by giving a reason. At most one for each station
/// and item.
struct Closing {
    ClosingId id;
    std::string station;  ///< key; never empty
    std::string item;     ///< key of the question: one or more of a to z, 0 to 9, ':', '.', '_', '-'
    std::string reason;   ///< personal; never empty
    friend bool operator==(const Closing&, const Closing&) = default;
};

/// Somebody's word that a station may be run as it is defined and set up. A station has several over time;
/// the latest by signed_at_ms counts, and of equal ones that of the largest id.
struct Release {
    ReleaseId id;
    std::string station;            ///< key; never empty
    std::string definition;         ///< SHA-256 of the station's definition, 64 lower-case hexadecimal digits
    RigId rig;                      ///< of the same station
    std::string tester;             ///< personal; who signs; never empty
    std::string note = {};          ///< personal; may be empty
    std::int64_t signed_at_ms = 0;  ///< milliseconds since 1970-01-01 UTC
    friend bool operator==(const Release&, const Release&) = default;
};

/// What a coach says to a frame of a run.
struct CoachNote {
    NoteId id;
    RunId run;
    ClipId clip;  ///< among the footage of the run
    FrameRef frame;
    std::string text = {};  ///< personal; may be empty
    bool still = false;     ///< its picture goes on the athlete's page
    friend bool operator==(const CoachNote&, const CoachNote&) = default;
};

}  // namespace plumbmark::meet
