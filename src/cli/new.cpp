// plumbmark new MEETFILE: makes a meet file with a course book, and a run with its clips and marks.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "review/exchange.h"
#include "store/marks_json.h"

namespace plumbmark::cli {
namespace {

struct NewOptions {
    std::string meet;
    std::string name;
    std::string venue;
    std::string date;
    std::string book;
    std::vector<std::string> clips;
    std::string run = "run 1";
    std::string marks;
    std::string row_delay;
};

/// What a rolling shutter's read-out adds is known for these cameras, and is no more than stated.
base::Result<void> state_row_delay(review::Session& session, meet::ClipId id,
                                   const std::string& milliseconds) {
    base::Result<base::Duration> stated = base::parse_seconds(milliseconds);
    if (!stated || stated->ns > base::Duration{1'000'000'000'000}.ns)
        return base::Error{base::Category::bad_input,
                           "'" + milliseconds + "' is not a row delay in milliseconds, such as 0 or 16.7",
                           "--row-delay"};
    const meet::Clip before = session.state().clips().at(id);
    meet::Clip after = before;
    after.row_delay = base::Duration{stated->ns / 1000};
    return session.apply({"row delay of " + before.name, {{before, after}}, 0});
}

base::Result<void> fill(review::Session& session, const NewOptions& options) {
    if (!options.book.empty()) {
        base::Result<std::string> text = read_file(options.book);
        if (!text) return text.error();
        auto added = session.add_book(std::filesystem::path(options.book).filename().string(), *text);
        if (!added) return added.error();
    }
    if (!options.clips.empty()) {
        auto run = session.add_run(options.run);
        if (!run) return run.error();
    }
    for (const std::string& clip : options.clips) {
        auto added = session.add_clip(clip);
        if (!added) return added.error();
        if (options.row_delay.empty()) continue;
        if (base::Result<void> stated = state_row_delay(session, *added, options.row_delay); !stated)
            return stated;
    }
    if (base::Result<void> settled = session.settle(); !settled) return settled;
    for (const review::ClipView& view : session.clips()) {
        if (view.error) return *view.error;
    }
    if (!options.marks.empty()) {
        base::Result<std::string> text = read_file(options.marks);
        if (!text) return text.error();
        base::Result<store::MarksText> marks = store::read_marks(*text);
        if (!marks) {
            base::Error error = marks.error();
            error.where = error.where.empty() ? options.marks : options.marks + ", " + error.where;
            return error;
        }
        if (base::Result<void> taken = review::take_in_marks(session, *marks); !taken) return taken;
    }
    return session.flush();
}

int run(const NewOptions& options) {
    auto session = review::Session::create(options.meet, {options.name, options.venue, options.date});
    if (!session) return complain(session.error());
    base::Result<void> filled = fill(**session, options);
    if (filled) {
        fmt::print("{}\n", options.meet);
        return kDone;
    }
    // Half a meet would only be in the way of the next try.
    session->reset();
    std::error_code ignored;
    std::filesystem::remove(options.meet, ignored);
    return complain(filled.error());
}

}  // namespace

void add_new(CLI::App& program, Action& action) {
    auto options = std::make_shared<NewOptions>();
    CLI::App* command = program.add_subcommand("new", "Make a meet file");
    command->add_option("MEETFILE", options->meet, "The file to make; nothing that is there is overwritten")
        ->required();
    command->add_option("--name", options->name, "Name of the meet")->required();
    command->add_option("--venue", options->venue, "Where it is held");
    command->add_option("--date", options->date, "When it is held");
    command->add_option("--book", options->book, "The course book in force (.course)");
    command->add_option("--clip", options->clips, "A clip of the first run; give it once for each angle");
    command->add_option("--run", options->run, "What to call that run");
    command->add_option("--row-delay", options->row_delay,
                        "Milliseconds between a picture's first and last row, where known (0: taken as a "
                        "whole); the stated default is 33");
    command->add_option("--marks", options->marks, "Marks of that run (docs/marks.md)");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
