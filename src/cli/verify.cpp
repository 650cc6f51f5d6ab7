// plumbmark verify MEETFILE: recomputes the chain of a meet file's journal.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "store/meet_file.h"

namespace plumbmark::cli {

void add_verify(CLI::App& program, Action& action) {
    auto meet = std::make_shared<std::string>();
    CLI::App* command = program.add_subcommand(
        "verify", "Recompute the chain of a meet file's journal and hold its tables against it");
    command->add_option("MEETFILE", *meet, "The meet file (.meet)")->required();
    command->callback([meet, &action] {
        action = [meet] {
            base::Result<store::ChainReport> report = store::verify_chain(*meet);
            if (!report) return complain(report.error());
            fmt::print("{}\n", report->sentence);
            return report->whole ? kDone : kFound;
        };
    });
}

}  // namespace plumbmark::cli
