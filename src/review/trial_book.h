// The course tester's book of a meet: every station with its trials ruled, what they come to, and whether it
// stands released; and the changes that enter testers, rigs, trials, closings and releases. Each change is
// one step of undo.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "review/evidence.h"
#include "study/reach_gap.h"
#include "study/trials.h"

namespace plumbmark::review {

struct TrialBookWish {
    std::string station;  ///< key; empty: every station
    study::TrialsWish trials;
    std::vector<study::PeopleOfAge> people;
    /// Asked between rulings and in them: true once the answer is no longer wanted.
    std::function<bool()> stopped;
    std::function<void(double)> progress;  ///< the share of trials ruled, 0 to 1
};

struct StationInBook {
    study::StationReport report;
    std::vector<study::TrialResult> results;  ///< every trial of the station, those set aside as well
    std::vector<study::CourseStep> steps;
};

struct TrialBook {
    std::string meet_name;
    std::string book_name, book_revision;
    std::vector<StationInBook> stations;  ///< in the order of the course
    /// Stations that something was entered for and that the course book does not have (any more); ascending.
    std::vector<std::string> unknown_stations;
    std::map<std::string, std::string> surfaces;  ///< names by key, of the course book
};

/// Stations are those of the newest course book, as the course stands. A trial with a run is ruled under the
/// book, division and lane of its run: where that does not reach the station, as an appeal about it is, with
/// the stations before it taken as cleared. Frames of a clip without a table have the times that marks name.
/// Errors: not_found (no course book, no such station), bad_input (the book does not read; the wish makes no
/// sense), cancelled. Any thread, as long as nobody changes the state.
[[nodiscard]] base::Result<TrialBook> trial_book(const meet::State& state, const TableOf& table_of,
                                                 const TrialBookWish& wish = {});

/// The newest course book of the meet, whose stations the trials are of. Errors: not_found (there is none),
/// bad_input (it does not read).
[[nodiscard]] base::Result<course::CourseBook> book_of_trials(const meet::State& state);

/// SHA-256 of the station's definition (study/trials.h), 64 lower-case hexadecimal digits.
[[nodiscard]] std::string definition_digest(const course::CourseBook& book, course::StationId station);

/// The youngest and the oldest of the meet's divisions with this key (every division where it is empty), of
/// both sexes or of one, by years of birth and the year of the meet. A division without years of birth has
/// none. Error not_found names the divisions there are.
[[nodiscard]] base::Result<std::vector<study::PeopleOfAge>> people_of_divisions(
    const meet::State& state, const std::string& division, const std::optional<study::Sex>& sex);

// --- what enters them. Ids are given here; errors are bad_input and not_found, as they say.

[[nodiscard]] base::Result<meet::Change> tester_change(const meet::State& state, meet::Tester tester);

/// A rig state of a station of the newest book; its photographs are read for their SHA-256, and their paths
/// kept as a clip's is. Errors: those of the files as well.
[[nodiscard]] base::Result<meet::Change> rig_change(const meet::State& state,
                                                    const std::filesystem::path& meet_file,
                                                    meet::RigState rig,
                                                    const std::vector<std::filesystem::path>& photos);

/// Without a rig, the latest of the station is taken; without a start, the only one that the station
/// declares; without a landing, the only one, where it is said to have been cleared. Items are put in order.
/// Errors: not_found where one of them is not told by that.
[[nodiscard]] base::Result<meet::Change> trial_change(const meet::State& state, meet::Trial trial);

/// Closes a question of the report as the station is defined now; one that was closed gets the new reason.
[[nodiscard]] base::Result<meet::Change> closing_change(const meet::State& state,
                                                        const study::StationReport& report,
                                                        const std::string& question,
                                                        const std::string& reason);

/// Releases the station of the report on its latest rig. Errors: bad_input where questions are open (the
/// sentence says how many and names the first) or where no rig was written down.
[[nodiscard]] base::Result<meet::Change> release_change(const meet::State& state,
                                                        const study::StationReport& report,
                                                        const std::string& signs, const std::string& note,
                                                        meet::WallTime at);

}  // namespace plumbmark::review
