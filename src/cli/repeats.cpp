// plumbmark repeats MEETFILE: looks through a run's clips for pictures that are shown twice.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "review/capture_time.h"

namespace plumbmark::cli {
namespace {

struct RepeatsOptions {
    std::string meet;
    std::string run;
};

int run(const RepeatsOptions& options) {
    auto session = open_run(options.meet, options.run, false);
    if (!session) return complain(session.error());
    {
        ProgressLine line("looking through the clips");
        base::Result<void> found = (*session)->find_repeats([&](double share) { line.show(share); });
        if (!found) return complain(found.error());
    }
    for (const review::ClipView& view : (*session)->clips()) {
        const meet::Clip& clip = (*session)->state().clips().at(view.id);
        if (view.error) {
            fmt::print("{}: {}\n", clip.name, view.error->text());
            continue;
        }
        const std::string words = review::repeated_sentence(clip);
        fmt::print("{}: {}\n", clip.name,
                   !clip.repeated  ? "could not be looked through"
                   : words.empty() ? "no repeated pictures"
                                   : words);
        if (!clip.repeated) continue;
        for (const meet::RepeatedPictures& one : *clip.repeated)
            fmt::print("  f {} to {} show f {} again{}\n", one.first.number + 1, one.last, one.first.number,
                       one.exact ? "" : ", nearly");
    }
    return kDone;
}

}  // namespace

void add_repeats(CLI::App& program, Action& action) {
    auto options = std::make_shared<RepeatsOptions>();
    CLI::App* command = program.add_subcommand(
        "repeats", "Look through a run's clips for pictures that are shown twice, and keep what is found");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
