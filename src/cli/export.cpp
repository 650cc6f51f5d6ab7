// plumbmark export MEETFILE: a stretch of a clip, or one frame of it, as a file that leaves the meet.
#include <fmt/format.h>

#include <map>

#include "base/ascii.h"
#include "cli/internal/common.h"
#include "cli/internal/interrupt.h"
#include "review/export_clip.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct ExportOptions {
    std::string meet, run, station, clip, frames, out;
    std::string speed = "1";
    bool sound = false, plain = false;
};

const std::map<std::string, int> kSpeedWords{{"1", 1}, {"1/2", 2}, {"1/4", 4}, {"1/8", 8}};

/// What is to be made follows from the name's ending.
Result<bool> is_still(const std::filesystem::path& out) {
    const std::string ending = base::ascii_lower(out.extension().string());
    if (ending == ".png" || ending == ".mp4") return ending == ".png";
    return Error{Category::bad_input,
                 "A clip is written to a name that ends in .mp4, a still to one in .png.", out.string()};
}

Result<review::ExportWish> wish_of(const review::Session& session, const ExportOptions& options) {
    const Result<bool> still = is_still(options.out);
    if (!still) return still.error();
    const Result<meet::ClipId> clip = find_clip(session, options.clip);
    if (!clip) return clip.error();
    review::ExportWish wish;
    wish.clip = *clip;
    wish.station = options.station;
    wish.still = *still;
    wish.slower = kSpeedWords.at(options.speed);
    wish.sound = options.sound;
    wish.plain = options.plain;
    wish.out = options.out;
    if (options.frames.empty()) return wish;
    const auto frames = read_frames(options.frames, session.state().clips().at(*clip).frame_count);
    if (!frames) return frames.error();
    if (*still && frames->first != frames->second)
        return Error{Category::bad_input, "A still is one frame; write its number alone, as 212.",
                     "--frames"};
    wish.frames = {{frames->first, frames->second}};
    return wish;
}

Result<review::Exported> make(const ExportOptions& options, const std::stop_token& stop) {
    auto session = open_run(options.meet, options.run, true);
    if (!session) return session.error();
    const Result<review::ExportWish> wish = wish_of(**session, options);
    if (!wish) return wish.error();
    const Result<review::ExportWork> work = review::plan_export(**session, *wish);
    if (!work) return work.error();
    ProgressLine line("writing " + std::filesystem::path(options.out).filename().string());
    return review::carry_out_export(
        *work, [&line](double share) { line.show(share); }, stop);
}

int run(const ExportOptions& options) {
    const Interrupt interrupt;
    const Result<review::Exported> made = make(options, interrupt.token());
    if (interrupt.asked() && !made) return complain(cancelled());
    if (!made) return complain(made.error());
    fmt::print("{}\n", made->file.string());
    fmt::print(stderr, "{}\n", made->words.english());
    for (const std::string& notice : made->notices)
        fmt::print(stderr, "{}\n", notice);
    if (!made->faces.empty()) fmt::print(stderr, "{}\n", made->faces.english());
    return kDone;
}

}  // namespace

void add_export(CLI::App& program, Action& action) {
    auto options = std::make_shared<ExportOptions>();
    CLI::App* command = program.add_subcommand(
        "export",
        "Write a stretch of a clip (.mp4) or one frame of it (.png), with what was marked drawn in");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->add_option(
        "--station", options->station,
        "The station it is about, by key: its ruling is the caption, and without --frames the clip "
        "is what decides it with a second before and after");
    command->add_option("--clip", options->clip, "The clip, by name or file; the only one by default");
    command->add_option("--frames", options->frames,
                        "The first and the last frame, as 120..180; of a still one");
    command->add_option("--speed", options->speed, "How fast it plays: 1 (the default), 1/2, 1/4 or 1/8")
        ->check(CLI::IsMember({"1", "1/2", "1/4", "1/8"}));
    command->add_flag("--sound", options->sound, "With the clip's sound; at real speed only");
    command->add_flag("--plain", options->plain, "Nothing drawn in, and no words below");
    command->add_option("-o,--out", options->out, "Where to write it, ending in .mp4 or .png")->required();
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
