// What can be said of a run that is made on the command line, by 'new' and by 'add-run'.
#pragma once

#include "cli/internal/common.h"

namespace plumbmark::cli {

struct RunOptions {
    std::vector<std::string> clips;
    std::string run;
    std::string marks;
    std::string row_delay;
    std::string division;
    std::string lane;
};

/// Adds the options to a subcommand; 'options' must live as long as it.
void add_run_options(CLI::App& command, RunOptions& options);

/// Makes the run, with its clips read and its marks taken in. Waits for both. Errors as the session's; where
/// there is one, part of it may have been made.
[[nodiscard]] base::Result<void> make_run(review::Session& session, const RunOptions& options);

}  // namespace plumbmark::cli
