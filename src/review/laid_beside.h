// What the coach's page shows: one run laid open and held against the athlete's other runs and those of its
// division, or two runs beside each other; and where in the one a frame of the other belongs.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "meet/changes.h"
#include "report/compare_document.h"
#include "study/compare.h"

namespace plumbmark::review {

/// An instant at which two runs can be laid over each other.
struct LaidAt {
    std::string wish;     ///< as read_align (review/compare_runs.h) takes it: "station:hawser_swing"
    base::Sentence says;  ///< "the beginning of hawser swing"
};

struct LaidBeside {
    report::CompareDocument document;
    std::vector<LaidAt> can_lie_at;      ///< with two runs: what both show
    std::vector<base::Sentence> lacked;  ///< runs of the groups that could not be laid open, and why
};

struct LaidBesideWish {
    meet::RunId run;
    meet::RunId other;  ///< none: the athlete's other runs, and the others of the division
    std::string align;  ///< as read_align takes it; empty: what is usual
};

/// 'file' names the meet in the document. 'stopped' is asked between runs. Errors: those of RunStudy::open
/// for the runs that were asked for, those of read_align and compare_two, and cancelled. Any thread, as long
/// as nobody changes the state.
[[nodiscard]] base::Result<LaidBeside> laid_beside(const meet::State& state,
                                                   const std::filesystem::path& file,
                                                   const LaidBesideWish& wish,
                                                   const std::function<bool()>& stopped = {});

enum class Together : std::uint8_t {
    same_moment,  ///< both at the speed at which they were run, laid over each other at the anchor
    same_phase,   ///< the second one warped so that what happened in both lies over each other
};

/// From a clip's time of the first run to a clip's time of the second, on the clock of each clip. None where
/// the document has not two runs, where they have nothing in common, or where it lies nowhere on those clips.
/// The clips by their place in the run (meet::Run::clips). Pure.
[[nodiscard]] std::optional<study::TimeMap> together(const report::CompareDocument& document,
                                                     std::size_t clip_a, std::size_t clip_b, Together how);

/// When the anchor is on a clip of the first run, and on one of the second; none as above.
[[nodiscard]] std::optional<base::Time> anchor_time(const report::CompareDocument& document,
                                                    std::size_t clip_a);
[[nodiscard]] std::optional<base::Time> other_anchor_time(const report::CompareDocument& document,
                                                          std::size_t clip_b);

}  // namespace plumbmark::review
