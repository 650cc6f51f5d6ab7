// What 'plumbmark trials' prints, and the subcommands that enter what it is made of.
#pragma once

#include <string>

#include "cli/internal/common.h"
#include "review/trial_book.h"

namespace plumbmark::cli {

/// A book with what it was asked for.
struct TrialsTold {
    const review::TrialBook& book;
    const meet::State& state;
    study::TrialsWish wish;
    bool people_asked = false;
};
/// "plumbmark-trials/1", docs/trials.md.
[[nodiscard]] std::string told_as_json(const TrialsTold& told);

/// The station's report as the meet stands, with the trials ruled; for what closes and releases.
[[nodiscard]] base::Result<study::StationReport> report_of(const std::string& meet_file,
                                                           const meet::State& state,
                                                           const std::string& station);

/// add-tester, add-rig, add-trial, close and release.
void add_trials_entering(CLI::App& trials, Action& action);

}  // namespace plumbmark::cli
