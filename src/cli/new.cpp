// plumbmark new MEETFILE: makes a meet file with a course book, and a run with its clips and marks.
// plumbmark add-run MEETFILE: a further run of one that is there.
#include <fmt/format.h>

#include "cli/internal/run_options.h"

namespace plumbmark::cli {
namespace {

struct NewOptions {
    std::string meet;
    std::string name;
    std::string venue;
    std::string date;
    std::string book;
    RunOptions run;
};

base::Result<void> fill(review::Session& session, const NewOptions& options) {
    if (!options.book.empty()) {
        base::Result<std::string> text = read_file(options.book);
        if (!text) return text.error();
        auto added =
            session.add_book(std::filesystem::path(options.book).filename().string(), *text, options.book);
        if (!added) return added.error();
    }
    const bool has_run = !options.run.clips.empty() || !options.run.marks.empty();
    if (has_run) {
        if (base::Result<void> made = make_run(session, options.run); !made) return made;
    }
    return session.flush();
}

int make_meet(const NewOptions& options) {
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

/// Takes back what was made of the run, newest first, so that a refused one leaves the meet as it was.
void take_back(review::Session& session, const meet::State& before) {
    while (!(session.state().runs() == before.runs()) && session.undo_label()) {
        if (!session.undo()) return;
    }
}

int add_one_run(const std::string& meet, RunOptions options) {
    auto session = review::Session::open(meet);
    if (!session) return complain(session.error());
    const auto& runs = (*session)->state().runs();
    if (options.run.empty()) options.run = fmt::format("run {}", runs.size() + 1);
    for (const auto& [id, run] : runs) {
        if (run.label == options.run)
            return complain(
                {base::Category::bad_input,
                 fmt::format("This meet has a run '{}' already; give another name with --run.", options.run),
                 meet});
    }
    const meet::State before = (*session)->state();
    base::Result<void> made = make_run(**session, options);
    if (!made) take_back(**session, before);
    base::Result<void> flushed = (*session)->flush();
    if (!made) return complain(made.error());
    if (!flushed) return complain(flushed.error());
    fmt::print("{}\n", options.run);
    return kDone;
}

}  // namespace

void add_new(CLI::App& program, Action& action) {
    auto options = std::make_shared<NewOptions>();
    options->run.run = "run 1";
    CLI::App* command = program.add_subcommand("new", "Make a meet file");
    command->add_option("MEETFILE", options->meet, "The file to make; nothing that is there is overwritten")
        ->required();
    command->add_option("--name", options->name, "Name of the meet")->required();
    command->add_option("--venue", options->venue, "Where it is held");
    command->add_option("--date", options->date, "When it is held");
    command->add_option("--book", options->book, "The course book in force (.course)");
    add_run_options(*command, options->run);
    command->callback([options, &action] { action = [options] { return make_meet(*options); }; });
}

void add_add_run(CLI::App& program, Action& action) {
    struct AddOptions {
        std::string meet;
        RunOptions run;
    };
    auto options = std::make_shared<AddOptions>();
    CLI::App* command = program.add_subcommand(
        "add-run", "Add a run to a meet, under its newest course book; a clip may be another run's as well");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    add_run_options(*command, options->run);
    command->callback(
        [options, &action] { action = [options] { return add_one_run(options->meet, options->run); }; });
}

}  // namespace plumbmark::cli
