// The competition of a meet for the desk and the command line: where standings get courses and times from
// footage, and the documents made of them.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "meet/standings.h"
#include "report/standings_document.h"
#include "review/evidence.h"

namespace plumbmark::review {

/// The courses that the runs of a meet are run under, each read once. Not for use by two threads at once.
class MeetCourses {
  public:
    explicit MeetCourses(const meet::State& state);
    ~MeetCourses();
    MeetCourses(MeetCourses&&) noexcept;

    /// The course of this run: its revision, division and lane. A run whose own division is not named takes
    /// that of its athlete's division. Null: it has no book, or one that cannot be read, or no such division
    /// or lane.
    [[nodiscard]] const course::CourseBook* of(const meet::Run& run);
    /// The course that the next calls of this entry are of: that of its latest run, or of the run that is
    /// still to be made ('rerun': always). Null as above.
    [[nodiscard]] const course::CourseBook* of_entry(meet::EntryId entry, bool rerun = false);

    /// For meet::Results; this object must outlive them. Times from footage come from the marks of the run
    /// under the usual settings: a run is ruled only where it has marks and is asked for. 'table_of' may be
    /// empty: frames then have the times that the marks name.
    /// 'stopped' is asked between runs: once it says so, no further run is ruled, and what comes of it is not
    /// to be used.
    [[nodiscard]] meet::Sources sources(const TableOf& table_of = {},
                                        const std::function<bool()>& stopped = {});

  private:
    struct Inner;
    std::unique_ptr<Inner> inner_;
};

/// Key of the division, and of the lane, of its course book that a run is run under: its own where it names
/// one, else those of its athlete's division and its entry. Empty: the course as it stands.
[[nodiscard]] std::string course_division(const meet::State& state, const meet::Run& run);
[[nodiscard]] std::string course_lane(const meet::State& state, const meet::Run& run);

struct StandingsWish {
    std::optional<meet::RoundId> round;        ///< none: every round
    std::optional<meet::DivisionId> division;  ///< none: every division
};

/// The standings as they follow from the meet now. A table that is the same, line for line, as the latest
/// publication of its round and division says which one it is. Takes no longer than the standings themselves.
[[nodiscard]] report::StandingsDocument standings_document(const meet::State& state, MeetCourses& courses,
                                                           const StandingsWish& wish = {});

/// The change that gives the wished standings out: a publication for each table that differs from its latest,
/// or that becomes official. Errors: bad_input where nothing is left to publish, or where official results
/// still wait for something (the sentence says for what).
[[nodiscard]] base::Result<meet::Change> publication_change(const meet::State& state, MeetCourses& courses,
                                                            const StandingsWish& wish, bool official,
                                                            meet::WallTime at, const std::string& note);

/// The same for standings that were worked out before from this state.
[[nodiscard]] base::Result<meet::Change> publication_of(const meet::State& state,
                                                        const std::vector<meet::Standings>& all,
                                                        bool official, meet::WallTime at,
                                                        const std::string& note);
[[nodiscard]] report::StandingsDocument document_of(const meet::State& state,
                                                    std::vector<meet::Standings> all);

/// The latest publication of each round and division.
[[nodiscard]] std::map<std::pair<meet::RoundId, meet::DivisionId>, const meet::Publication*>
latest_publications(const meet::State& state);

/// "Final, u14g": how sentences call a table.
[[nodiscard]] std::string table_name(const meet::State& state, meet::RoundId round,
                                     meet::DivisionId division);
/// "number 17 moves from place 2 to place 1", "number 4 stays at place 3 with another result".
[[nodiscard]] std::string move_words(const meet::State& state, const meet::Move& move);

/// How the standings would move by this change, in sentences by division: "Final, u14g: 17 moves from 2
/// to 1."; empty: not at all. The change must apply. 'stopped' as MeetCourses::sources().
[[nodiscard]] std::vector<std::string> effect_on_standings(const meet::State& state,
                                                           const meet::Change& change,
                                                           const std::function<bool()>& stopped = {});

/// Opens a meet file for writing, makes one change and waits until it is on the disk for good. Gives the
/// state after it. An empty change writes nothing. Errors of 'make' and of the file.
[[nodiscard]] base::Result<meet::State> change_meet(
    const std::filesystem::path& meet_file,
    const std::function<base::Result<meet::Change>(const meet::State&)>& make);

/// Milliseconds since 1970 by the machine's clock.
[[nodiscard]] meet::WallTime now();

}  // namespace plumbmark::review
