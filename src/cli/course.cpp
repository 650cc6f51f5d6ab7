// plumbmark course MEETFILE [BOOK]: which course book each run is ruled under, and taking in a new revision.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "cli/internal/common.h"
#include "course/check.h"
#include "course/read.h"

namespace plumbmark::cli {
namespace {

struct CourseOptions {
    std::string meet;
    std::string book;
    std::vector<std::string> keep;
    std::string run;
    std::string division;
    std::string lane;
};

std::string revision_words(const meet::State& state, meet::BookId id) {
    const auto stored = state.books().find(id);
    if (stored == state.books().end()) return "no course book";
    const course::ReadBook read = course::read_book(stored->second.text);
    const std::string file = stored->second.file_name.empty() ? "" : " (" + stored->second.file_name + ")";
    if (!read.book) return "a course book with mistakes" + file;
    return fmt::format("{}, revision {}{}", read.book->name, read.book->revision, file);
}

void print_course(const meet::State& state) {
    for (const auto& [id, book] : state.books()) {
        std::vector<std::string> labels;
        for (const auto& [run_id, run] : state.runs()) {
            if (run.book == id) labels.push_back(run.label);
        }
        fmt::print("{}: {}\n", revision_words(state, id),
                   labels.empty() ? std::string("no run") : base::listed(labels));
    }
    for (const auto& [id, run] : state.runs()) {
        const std::string division = run.division.empty() ? "" : ", division " + run.division;
        const std::string lane = run.lane.empty() ? "" : ", lane " + run.lane;
        fmt::print("{}: {}{}{}\n", run.label, revision_words(state, run.book), division, lane);
    }
}

base::Result<void> take_in(review::Session& session, const CourseOptions& options) {
    base::Result<std::string> text = read_file(options.book);
    if (!text) return text.error();
    std::vector<meet::RunId> keep;
    for (const std::string& wanted : options.keep) {
        const base::Result<meet::RunId> run = find_run(session.state(), wanted);
        if (!run) return run.error();
        keep.push_back(*run);
    }
    const auto taken = session.take_in_book(
        {std::filesystem::path(options.book).filename().string(), *text, options.book}, keep);
    if (!taken) return taken.error();
    const std::vector<course::Finding> findings = course::check_book(*course::read_book(*text).book);
    if (!findings.empty())
        fmt::print(stderr, "plumbmark: {}: {} to look at; see plumbmark check.\n", options.book,
                   findings.size());
    return {};
}

base::Result<void> divide(review::Session& session, const CourseOptions& options, bool has_division,
                          bool has_lane) {
    const base::Result<meet::RunId> run = find_run(session.state(), options.run);
    if (!run) return run.error();
    session.select_run(*run);
    const meet::Run& now = session.state().runs().at(*run);
    return session.set_division_and_lane(has_division ? options.division : now.division,
                                         has_lane ? options.lane : now.lane);
}

int run(const CourseOptions& options, bool has_division, bool has_lane) {
    review::SessionOptions how;
    how.read_only = options.book.empty() && !has_division && !has_lane;
    auto session = review::Session::open(options.meet, how);
    if (!session) return complain(session.error());
    base::Result<void> done;
    if (!options.book.empty()) done = take_in(**session, options);
    if (done && (has_division || has_lane)) done = divide(**session, options, has_division, has_lane);
    if (done && !how.read_only) done = (*session)->flush();
    if (!done) return complain(done.error());
    print_course((*session)->state());
    return kDone;
}

}  // namespace

void add_course(CLI::App& program, Action& action) {
    auto options = std::make_shared<CourseOptions>();
    CLI::App* command = program.add_subcommand(
        "course", "Say which course book each run is ruled under, or take in a new revision of it");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    CLI::Option* book = command->add_option(
        "BOOK", options->book, "A revision to take in (.course); every run is ruled under it from then on");
    command->add_option("--keep", options->keep, "A run that keeps the book it has, by label or number")
        ->needs(book);
    command->add_option("--run", options->run,
                        "The run whose division or lane is said, by label or number; the first by default");
    CLI::Option* division = command->add_option(
        "--division", options->division, "Its division's key in the book; '' for the course as a whole");
    CLI::Option* lane =
        command->add_option("--lane", options->lane, "Its lane's key in the book; '' for none");
    command->callback([options, division, lane, &action] {
        action = [options, has_division = division->count() > 0, has_lane = lane->count() > 0] {
            return run(*options, has_division, has_lane);
        };
    });
}

}  // namespace plumbmark::cli
