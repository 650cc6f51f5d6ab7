// plumbmark note MEETFILE: what a coach says to frames of a run.
#include <fmt/format.h>

#include "base/time.h"
#include "cli/internal/common.h"
#include "review/coach_notes.h"
#include "review/evidence.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct NoteOptions {
    std::string meet, run, clip, text;
    std::int64_t frame = -1, change = -1, remove = -1;
    bool has_text = false, still = false, no_still = false, list = false;
};

/// A note in one line, whatever it says.
std::string one_line(const std::string& text) {
    std::string out;
    for (const char c : text)
        out += static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c;
    return out;
}

int list(const review::Session& session) {
    const auto notes = review::notes_in_order(session.state(), session.run());
    for (const meet::CoachNote& note : notes) {
        const meet::Clip& clip = session.state().clips().at(note.clip);
        fmt::print("note {}: {}, f {}, {}{}{}\n", note.id.value, one_line(clip.name), note.frame.number,
                   base::clock_text(review::frame_time(clip, note.frame)),
                   note.still ? ", with its picture" : "",
                   note.text.empty() ? "" : ": " + one_line(note.text));
    }
    if (notes.empty()) fmt::print("There are no notes on this run.\n");
    return kDone;
}

/// Of this run: a number of another one's is most likely a mistake.
Result<meet::CoachNote> find_note(const review::Session& session, std::int64_t number) {
    const auto found = session.state().notes().find({number});
    if (found != session.state().notes().end() && found->second.run == session.run()) return found->second;
    return Error{Category::not_found,
                 fmt::format("There is no note {} on this run; --list says which there are.", number), ""};
}

Result<void> add(review::Session& session, const NoteOptions& options) {
    const Result<meet::ClipId> clip = find_clip(session, options.clip);
    if (!clip) return clip.error();
    const auto made = review::add_note(session, {*clip, options.frame, options.text, options.still});
    return made ? Result<void>() : made.error();
}

Result<void> act(review::Session& session, const NoteOptions& options) {
    if (options.frame >= 0) return add(session, options);
    const Result<meet::CoachNote> note =
        find_note(session, options.remove >= 0 ? options.remove : options.change);
    if (!note) return note.error();
    if (options.remove >= 0) return review::remove_note(session, note->id);
    return review::change_note(session, note->id, options.has_text ? options.text : note->text,
                               options.still || (note->still && !options.no_still));
}

int note(const NoteOptions& options) {
    const bool changes = options.frame >= 0 || options.change >= 0 || options.remove >= 0;
    auto session = open_run(options.meet, options.run, !changes);
    if (!session) return complain(session.error());
    if (!changes) return list(**session);
    Result<void> done = act(**session, options);
    if (done) done = (*session)->flush();
    return done ? list(**session) : complain(done.error());
}

}  // namespace

void add_note(CLI::App& program, Action& action) {
    auto options = std::make_shared<NoteOptions>();
    CLI::App* command = program.add_subcommand(
        "note",
        "What a coach says to frames of a run, for the athlete's page; without options the notes there are");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    CLI::Option* clip = command->add_option("--clip", options->clip,
                                            "The clip, by name or file; the run's only one by default");
    CLI::Option* frame =
        command->add_option("--frame", options->frame, "Write a note to this frame of the clip")
            ->check(CLI::NonNegativeNumber);
    CLI::Option* change = command
                              ->add_option("--change", options->change,
                                           "Give the note of this number other words (--text), or "
                                           "its picture (--still, --no-still)")
                              ->check(CLI::NonNegativeNumber)
                              ->excludes(frame);
    CLI::Option* remove =
        command->add_option("--remove", options->remove, "Take the note of this number away")
            ->check(CLI::NonNegativeNumber)
            ->excludes(frame)
            ->excludes(change);
    CLI::Option* text = command->add_option("--text", options->text, "What it says")->excludes(remove);
    CLI::Option* still =
        command->add_flag("--still", options->still, "Its picture goes on the athlete's page")
            ->excludes(remove);
    command->add_flag("--no-still", options->no_still, "Its picture goes on the page no longer")
        ->needs(change)
        ->excludes(still);
    command->add_flag("--list", options->list, "List the notes of the run, in order of time")
        ->excludes(frame)
        ->excludes(change)
        ->excludes(remove)
        ->excludes(text)
        ->excludes(still);
    clip->needs(frame);
    command->callback([options, text, still, frame, change, &action] {
        options->has_text = text->count() > 0;
        // Words for no note would be lost without a word.
        if ((text->count() > 0 || still->count() > 0) && frame->count() == 0 && change->count() == 0)
            throw CLI::ValidationError("note", "--text and --still go with --frame or --change");
        action = [options] { return note(*options); };
    });
}

}  // namespace plumbmark::cli
