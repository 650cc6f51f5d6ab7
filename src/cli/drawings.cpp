// plumbmark drawings copy MEETFILE: takes the drawings of another clip of the same camera over.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "cli/internal/interrupt.h"
#include "review/copy_drawings.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct CopyCall {
    std::string meet;
    std::string from, from_run;
    std::string to, to_run;
    std::int64_t frame = 0;
};

/// A clip of any run of the meet, as find_clip() has those of the session's run.
Result<meet::ClipId> clip_of_run(const meet::State& state, meet::RunId run, const std::string& wanted) {
    std::vector<std::string> names;
    for (const meet::ClipId id : state.runs().at(run).clips) {
        const meet::Clip& clip = state.clips().at(id);
        const std::string path = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
        if (clip.name == wanted || std::filesystem::path(path).filename().string() == wanted) return id;
        names.push_back("'" + clip.name + "'");
    }
    return Error{Category::not_found,
                 names.empty() ? "The run of --from has no clip."
                               : fmt::format("The run of --from has no clip '{}'; it has {}.", wanted,
                                             base::listed(names)),
                 ""};
}

Result<review::CopyDrawings> wanted_copy(const review::Session& session, const CopyCall& call) {
    const Result<meet::ClipId> to = find_clip(session, call.to);
    if (!to) return to.error();
    meet::RunId run = session.run();
    if (!call.from_run.empty()) {
        const Result<meet::RunId> other = find_run(session.state(), call.from_run);
        if (!other) return other.error();
        run = *other;
    }
    const Result<meet::ClipId> from = clip_of_run(session.state(), run, call.from);
    if (!from) return from.error();
    if (*from == *to)
        return Error{
            Category::bad_input,
            "--from and --to are the same clip. Where clips of two runs have one name, say the other "
            "run with --from-run.",
            call.from};
    const auto& clips = session.clips();
    const auto view =
        std::find_if(clips.begin(), clips.end(), [&](const review::ClipView& one) { return one.id == *to; });
    if (view->error) return *view->error;
    if (!view->table) return Error{Category::busy, "The clip is still being read.", view->name};
    if (call.frame < 0 || call.frame >= view->table->size())
        return Error{Category::bad_input,
                     fmt::format("{} has frames 0 to {}.", view->name, view->table->size() - 1), ""};
    return review::CopyDrawings{
        session.path().parent_path(), session.state(), *from, *to, view->file, view->table, call.frame};
}

Result<review::CopiedDrawings> copy(review::Session& session, const CopyCall& call) {
    const Result<review::CopyDrawings> wanted = wanted_copy(session, call);
    if (!wanted) return wanted.error();
    const Interrupt interrupt;
    Result<review::CopiedDrawings> copied = review::copy_drawings(*wanted, interrupt.token());
    if (!copied) return copied;
    if (const Result<void> done = session.apply(copied->change); !done) return done.error();
    if (const Result<void> saved = session.flush(); !saved) return saved.error();
    return copied;
}

int run(const CopyCall& call) {
    auto session = open_run(call.meet, call.to_run, false);
    if (!session) return complain(session.error());
    const Result<review::CopiedDrawings> copied = copy(**session, call);
    if (!copied) return complain(copied.error());
    fmt::print("{} taken over at f {}, ±{:.1f} px\n", base::counted(copied->copied, "drawing"), call.frame,
               copied->error);
    if (copied->left_out > 0)
        fmt::print("{} left out: not fitting there\n", base::counted(copied->left_out, "drawing"));
    return kDone;
}

}  // namespace

void add_drawings(CLI::App& program, Action& action) {
    CLI::App* drawings = program.add_subcommand("drawings", "What is drawn on the clips of a meet");
    drawings->require_subcommand(1);
    auto call = std::make_shared<CopyCall>();
    CLI::App* command = drawings->add_subcommand(
        "copy", "Take the drawings of another clip of the same camera over, where the scene is found again");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet)")->required();
    command->add_option("--from", call->from, "The clip that has the drawings, by name or file")->required();
    command->add_option("--from-run", call->from_run,
                        "The run of that clip, by label or number; that of --to by default");
    command->add_option("--to", call->to, "The clip that gets them, by name or file")->required();
    command->add_option("--run", call->to_run, "The run of --to, by label or number; the first by default");
    command->add_option("--frame", call->frame,
                        "The frame of --to in which the scene is looked for; 0 by default");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace plumbmark::cli
