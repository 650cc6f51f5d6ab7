// plumbmark capture MEETFILE: says when the pictures of a clip were taken, or what is known of it.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "review/capture_time.h"

namespace plumbmark::cli {
namespace {

struct CaptureOptions {
    std::string meet;
    std::string run;
    std::string clip;
    std::string given;
};

void say(const review::Session& session) {
    for (const review::ClipView& view : session.clips()) {
        const meet::Clip& clip = session.state().clips().at(view.id);
        const std::string words = review::capture_sentence(clip);
        fmt::print("{}: {}\n", clip.name, words.empty() ? "capture time: as shown" : words);
    }
}

int give(review::Session& session, const CaptureOptions& options) {
    base::Result<meet::ClipId> clip = find_clip(session, options.clip);
    if (!clip) return complain(clip.error());
    base::Result<meet::CaptureMap> map = meet::read_capture(options.given);
    if (!map) return complain(map.error());
    base::Result<void> set = session.set_capture(*clip, *map);
    if (!set) return complain(set.error());
    base::Result<void> saved = session.flush();
    if (!saved) return complain(saved.error());
    say(session);
    return kDone;
}

int run(const CaptureOptions& options) {
    auto session = open_run(options.meet, options.run, options.given.empty());
    if (!session) return complain(session.error());
    if (!options.given.empty()) return give(**session, options);
    say(**session);
    return kDone;
}

}  // namespace

void add_capture(CLI::App& program, Action& action) {
    auto options = std::make_shared<CaptureOptions>();
    CLI::App* command =
        program.add_subcommand("capture", "Say when the pictures of a re-timed clip were taken");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("CAPTURE", options->given,
                        "'240', '240 shown 30', 'as shown; @120 240; @480 as shown', 'unknown', or 'none' to "
                        "take the word back; without it: what is known");
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->add_option("--clip", options->clip, "The clip, by name or file name; the only one by default");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
