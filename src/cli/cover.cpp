// plumbmark cover MEETFILE: places in a clip's pictures that are blurred wherever they leave the meet.
#include "meet/cover.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "base/text.h"
#include "cli/internal/common.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct CoverOptions {
    std::string meet, run, clip, frames, box, shows;
    std::int64_t remove = -1;
};

template <class Number>
bool read_number(std::string_view text, Number& number) {
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
    return problem == std::errc{} && end == text.data() + text.size();
}

/// "X,Y,W,H": fractions of the upright picture.
Result<std::array<double, 4>> read_box(const std::string& text) {
    std::array<double, 4> box{};
    std::string_view rest = text;
    bool reads = true;
    for (std::size_t i = 0; i < 4 && reads; ++i) {
        const std::size_t comma = i < 3 ? rest.find(',') : rest.size();
        reads = comma != std::string_view::npos && read_number(rest.substr(0, comma), box[i]);
        if (reads && i < 3) rest.remove_prefix(comma + 1);
    }
    const auto& [x, y, width, height] = box;
    if (!reads || !(x >= 0 && y >= 0 && width > 0 && height > 0 && x + width <= 1 && y + height <= 1))
        return Error{Category::bad_input,
                     "'" + text +
                         "' is no box within the picture; write x,y,width,height as fractions of it, such as "
                         "0.4,0.1,0.08,0.12 (from the upper left corner)",
                     "--box"};
    return box;
}

int list(const review::Session& session) {
    for (const auto& [id, cover] : session.state().covers()) {
        const auto clip = session.state().clips().find(cover.clip);
        fmt::print("cover {}: {}, f {} to {}, box {:g},{:g},{:g},{:g}{}\n", id.value,
                   clip == session.state().clips().end() ? "" : clip->second.name, cover.first.number,
                   cover.last.number, cover.box[0], cover.box[1], cover.box[2], cover.box[3],
                   cover.shows.empty() ? "" : ": " + cover.shows);
    }
    if (session.state().covers().empty()) fmt::print("Nothing is covered by hand.\n");
    return kDone;
}

Result<meet::Change> removal(const review::Session& session, std::int64_t id) {
    const auto cover = session.state().covers().find({id});
    if (cover == session.state().covers().end())
        return Error{Category::not_found, fmt::format("There is no cover {}.", id), ""};
    return meet::Change{"uncover a place", {{cover->second, std::nullopt}}, 0};
}

Result<meet::Change> addition(const CoverOptions& options, const review::Session& session) {
    const Result<meet::ClipId> clip = find_clip(session, options.clip);
    if (!clip) return clip.error();
    const auto view = std::find_if(session.clips().begin(), session.clips().end(),
                                   [&](const review::ClipView& one) { return one.id == *clip; });
    if (view == session.clips().end() || !view->table)
        return view != session.clips().end() && view->error
                   ? *view->error
                   : Error{Category::not_found, "The clip's file is away, so its frames are not known.",
                           options.clip};
    const media::FrameTable& table = *view->table;
    const auto frames = read_frames(options.frames, static_cast<std::int64_t>(table.size()));
    if (!frames) return frames.error();
    const auto box = read_box(options.box);
    if (!box) return box.error();
    const auto at = [&table](std::int64_t frame) { return meet::FrameRef{frame, table[frame].pts}; };
    const meet::Cover cover{{session.state().next_id(meet::Kind::cover)},
                            *clip,
                            at(frames->first),
                            at(frames->second),
                            *box,
                            options.shows};
    return meet::Change{"cover a place", {{std::nullopt, cover}}, 0};
}

int cover(const CoverOptions& options) {
    const bool changes = options.remove >= 0 || !options.frames.empty();
    auto session = open_run(options.meet, options.run, !changes);
    if (!session) return complain(session.error());
    if (!changes) return list(**session);
    const Result<meet::Change> change =
        options.remove >= 0 ? removal(**session, options.remove) : addition(options, **session);
    if (!change) return complain(change.error());
    Result<void> done = (*session)->apply(*change);
    if (done) done = (*session)->settle();
    return done ? list(**session) : complain(done.error());
}

}  // namespace

void add_cover(CLI::App& program, Action& action) {
    auto options = std::make_shared<CoverOptions>();
    CLI::App* command = program.add_subcommand(
        "cover",
        "Places in a clip's pictures that are blurred wherever they leave the meet; without options, what "
        "is covered");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run,
                        "A run that holds the clip, by label or number; the first by default");
    command->add_option("--clip", options->clip, "The clip, by name; the run's only one by default");
    CLI::Option* frames =
        command->add_option("--frames", options->frames, "The first and the last frame, as 120..180");
    CLI::Option* box = command->add_option(
        "--box", options->box, "x,y,width,height as fractions of the upright picture, as 0.4,0.1,0.08,0.12");
    frames->needs(box);
    box->needs(frames);
    command->add_option("--shows", options->shows, "What stands there")->needs(frames);
    command->add_option("--remove", options->remove, "Take the cover of this number away")->excludes(frames);
    command->callback([options, &action] { action = [options] { return cover(*options); }; });
}

}  // namespace plumbmark::cli
