// The runs of a season over several meets, station by station; and the marks that two reviewers made of the
// same footage. Lists for the terminal and the desk, and JSON; docs/study-json.md describes them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "report/laid_open.h"
#include "ruling/ruling.h"
#include "study/agreement.h"
#include "study/rates.h"

namespace plumbmark::report {

/// A meet file of the season.
struct SeasonFile {
    std::string file;  ///< as it was named
    std::string meet, date;
    std::optional<base::Error> error;  ///< it could not be read, or the athlete could not be told apart
    base::Sentence matched;       ///< "by the name", "by the number 17"; empty: nobody, or no athlete asked
    std::string number, athlete;  ///< of whom it found
    std::int64_t runs = 0;        ///< of theirs, or all
};

/// Where a run ended.
enum class Ended : std::uint8_t { cleared_all, fail, not_shown };
/// "cleared_all", "fail", "not_shown".
[[nodiscard]] const char* ended_key(Ended ended);

struct SeasonRun {
    std::size_t file = 0;  ///< of SeasonDocument::files
    RunName name;
    std::int64_t cleared = 0, stations = 0;
    Ended ended = Ended::cleared_all;
    std::string station, station_name;  ///< at which it ended
    study::Length time;                 ///< from the start signal to the last station that is shown cleared
};
struct NotLaidOpen {
    std::size_t file = 0;
    RunName name;
    base::Error why;
    bool unmarked = false;  ///< as nobody has marked anything on it yet
};

/// Of times of stations that are shown to be cleared.
struct BestAndMedian {
    std::int64_t times = 0;
    study::Length best, median;
};
struct SeasonStationAt {
    std::size_t file = 0;
    study::Count cleared;
    BestAndMedian times;
};
/// A kind of station: one key over all course books; where books give it other keys, one name.
struct SeasonStation {
    std::string key, name;
    std::int64_t clear = 0, fail = 0, not_shown = 0;  ///< of the runs that reached it
    study::Rate cleared;                              ///< clear of those shown to be clear or fail
    BestAndMedian times;
    std::vector<SeasonStationAt> by_file;  ///< in the order of the season; files without it are left out
    /// The earlier half of the times and the later one, with the middle one of an odd number in the later.
    BestAndMedian earlier, later;
    study::Difference trend;  ///< the later median minus the earlier; not known with fewer than two times
    study::Count cleared_earlier, cleared_later;  ///< of the halves of the runs that were shown there
};

struct SeasonEnd {
    std::string key, name;  ///< empty with cleared_all
    Ended ended = Ended::cleared_all;
    std::int64_t runs = 0;
};

struct SeasonDocument {
    std::string program_version;
    std::string athlete;  ///< who was asked for, as it was written; empty: everybody
    double confidence = 0.95;
    std::vector<SeasonFile> files;  ///< by date, those of one date as they were named
    std::vector<SeasonRun> runs;    ///< in that order, then that of the meet
    std::vector<NotLaidOpen> not_opened;
    std::vector<SeasonStation> stations;  ///< as the first book that has each orders them
    std::vector<SeasonEnd> ends;          ///< most frequent first
    std::vector<base::Sentence> notes;
};

[[nodiscard]] std::vector<StudyLine> season_lines(const SeasonDocument& document);
/// Of those the parts: what a meet gives ("13 runs: open.meet, ..."), how the runs went and where they end
/// with the notes, and one station. Names are printable (internal/plain.h).
[[nodiscard]] base::Sentence season_file_words(const SeasonDocument& document, const SeasonFile& file);
[[nodiscard]] std::vector<StudyLine> season_run_lines(const SeasonDocument& document);
[[nodiscard]] std::vector<StudyLine> season_station_lines(const SeasonDocument& document,
                                                          const SeasonStation& station);
[[nodiscard]] std::string season_text(const SeasonDocument& document);
/// docs/season.schema.json. Pure.
[[nodiscard]] std::string season_json(const SeasonDocument& document);

/// One station as both ruled it by their marks.
struct RatedStation {
    std::string key, name;
    ruling::Verdict a = ruling::Verdict::not_reached, b = ruling::Verdict::not_reached;
};
/// How far two reviewers' marks of the same footage agree.
struct RatersDocument {
    std::string program_version;
    RunName a, b;
    std::vector<std::string> clips;  ///< that both runs hold, by A's names
    std::vector<RatedStation> stations;
    std::vector<std::string> verdict_keys;  ///< of the rows and columns of 'verdict_table'
    study::RatingTable verdict_table;
    std::optional<study::Kappa> verdicts;   ///< none: no station in common
    std::vector<std::string> surface_keys;  ///< likewise; "undeclared" for what no book names
    study::RatingTable surface_table;
    std::optional<study::Kappa> surfaces;  ///< of paired touches and leavings; none: no pair
    std::int64_t frames_apart = 0;         ///< at most so far are two marks taken for one event
    std::int64_t tolerance = 0;            ///< of 'moments', frames
    study::MomentAgreement moments;        ///< late frames of paired marks, B minus A
    std::int64_t left_out = 0;             ///< marks with alternatives, possible ones, and of other clips
    std::vector<base::Sentence> notes;
};

[[nodiscard]] std::vector<StudyLine> raters_lines(const RatersDocument& document);
[[nodiscard]] std::string raters_text(const RatersDocument& document);
/// docs/raters.schema.json. Pure.
[[nodiscard]] std::string raters_json(const RatersDocument& document);

}  // namespace plumbmark::report
