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
};

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
    command->add_option("--marks", options->marks, "Marks of that run (docs/marks.md)");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
