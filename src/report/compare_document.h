// Two runs side by side, or one against the best of others, station by station and along the course. Lists
// for the terminal and the desk, JSON and a table for other programs; docs/study-json.md describes them.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "base/table.h"
#include "report/laid_open.h"
#include "study/compare.h"

namespace plumbmark::report {

/// A station of either run, matched by key. Indices into the stations of each run's book; none: that run's
/// course does not have it.
struct StationPair {
    std::string key, name;
    std::optional<std::size_t> a, b;
    study::Difference lost;  ///< A's time minus B's; not known where one has no such station
};

/// The instants that were laid over each other, one of each run.
struct Anchor {
    std::string wish;        ///< "start", "station:hawser_swing", "take-off:2"
    ruling::MarkId a, b;     ///< marks of each run
    base::Sentence says;     ///< "at the start signal"
    bool fell_back = false;  ///< not what is usual, as a run does not show that
};

/// The two runs held against each other.
struct TwoRuns {
    std::vector<StationPair> stations;  ///< in A's order; then those of B alone
    std::optional<Anchor> anchor;       ///< none: the runs have no event in common
    std::vector<study::CurvePoint> curve;
    std::vector<std::string>
        stations_of_curve;  ///< key of the station of each point; empty: before the first
};

/// What one run is held against.
struct Reference {
    enum class Kind : std::uint8_t { own_best, group_best, group_median } kind = Kind::own_best;
    base::Sentence group;               ///< "the athlete's other runs", "division u14g", "run 1 and run 3"
    std::vector<RunName> runs;          ///< that are in it
    std::vector<StationPair> stations;  ///< a alone
    std::vector<study::StationLoss> losses;  ///< of each of 'stations'
};

struct CompareDocument {
    std::string program_version;
    /// One or two: A, and B.
    std::vector<std::shared_ptr<const LaidOpen>> runs;
    std::optional<TwoRuns> two;         ///< with two runs
    std::vector<Reference> references;  ///< with one
    std::vector<base::Sentence> notes;  ///< what could not be compared, and why
};

/// In sentences: heading, what was lost where, each station with both runs' figures, the curve. In English
/// and in the chosen language; texts of the meet are put through internal/plain.h. Pure.
[[nodiscard]] std::vector<StudyLine> compare_lines(const CompareDocument& document);
[[nodiscard]] std::string compare_text(const CompareDocument& document);

/// docs/compare.schema.json; UTF-8, members always in the same order, one line feed at the end. Pure.
[[nodiscard]] std::string compare_json(const CompareDocument& document);

/// A row for each figure (docs/study-json.md); store::write_csv makes the file of it. Pure.
[[nodiscard]] base::Table compare_table(const CompareDocument& document);

}  // namespace plumbmark::report
