// plumbmark verify MEETFILE: recomputes the chain of a meet file's journal, and holds clips' files to it.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "review/clip_files.h"
#include "store/meet_file.h"

namespace plumbmark::cli {
namespace {

struct VerifyOptions {
    std::string meet;
    bool clips = false;
};

/// True when the file is the one that was marked, as far as the meet can tell.
bool verify_clip(const std::filesystem::path& folder, const meet::Clip& clip) {
    const auto found = [&] {
        ProgressLine progress("reading " + clip.name);
        return review::read_clip_file(folder, clip, {}, [&](double share) { progress.show(share); });
    }();
    fmt::print("{}\n", review::content_words(clip, found));
    return found && found->state != review::FileState::other;
}

int verify(const VerifyOptions& options) {
    base::Result<store::ChainReport> report = store::verify_chain(options.meet);
    if (!report) return complain(report.error());
    fmt::print("{}\n", report->sentence);
    if (!report->whole) return kFound;
    store::OpenOptions reading;
    reading.read_only = true;
    const auto file = store::MeetFile::open(options.meet, reading);
    if (!file) return complain(file.error());
    const auto folder = std::filesystem::path(options.meet).parent_path();
    bool good = true;
    for (const auto& [id, clip] : file->loaded().clips()) {
        if (options.clips)
            good &= verify_clip(folder, clip);
        else
            fmt::print("{}\n", review::content_words(clip));
    }
    return good ? kDone : kFound;
}

}  // namespace

void add_verify(CLI::App& program, Action& action) {
    auto options = std::make_shared<VerifyOptions>();
    CLI::App* command = program.add_subcommand(
        "verify", "Recompute the chain of a meet file's journal and hold its tables against it");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_flag("--clips", options->clips,
                      "Read the clips' whole files too, and hold them to the SHA-256 that the meet knows");
    command->callback([options, &action] { action = [options] { return verify(*options); }; });
}

}  // namespace plumbmark::cli
