// plumbmark season FILES...: the runs of a season over several meets, and two reviewers' marks of the same
// footage.
#include "review/season.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/worded.h"
#include "cli/internal/competition.h"
#include "cli/internal/interrupt.h"
#include "cli/internal/plot_files.h"
#include "report/season_plots.h"
#include "review/raters.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

struct SeasonOptions {
    std::vector<std::string> files;
    std::vector<std::string> athletes;
    std::vector<std::string> raters;
    std::int64_t tolerance = 1;
    std::string plots;
    bool json = false;
};

/// "a.meet" of "a.meet=17", where a file is named so; the longest that fits.
std::optional<std::string> named_file(const std::vector<std::string>& files, const std::string& text,
                                      char separator) {
    std::optional<std::string> found;
    for (const std::string& file : files) {
        for (const std::string& name : {file, std::filesystem::path(file).filename().string()}) {
            const bool fits =
                text.size() > name.size() && text.rfind(name, 0) == 0 && text[name.size()] == separator;
            if (fits && (!found || name.size() > found->size())) found = name;
        }
    }
    return found;
}

Result<review::SeasonWish> wish_of(const SeasonOptions& options) {
    review::SeasonWish wish;
    for (const std::string& file : options.files)
        wish.files.emplace_back(file);
    for (const std::string& text : options.athletes) {
        if (const auto file = named_file(options.files, text, '=')) {
            wish.number_in[*file] = text.substr(file->size() + 1);
        } else if (wish.athlete.empty()) {
            wish.athlete = text;
        } else {
            return Error{Category::bad_input,
                         worded("'{}' and '{}' are both given for every file; say FILE=NUMBER for one file.",
                                wish.athlete, text),
                         "--athlete"};
        }
    }
    return wish;
}

int of_season(const SeasonOptions& options, const std::stop_token& stop) {
    Result<review::SeasonWish> wish = wish_of(options);
    if (!wish) return complain(wish.error());
    Result<report::SeasonDocument> document = [&] {
        ProgressLine line("laying runs open");
        wish->stop = stop;
        wish->progress = [&line](double share) { line.show(share); };
        return review::season(*wish);
    }();
    if (!document) return complain(document.error());
    for (const report::SeasonFile& file : document->files) {
        if (file.error) fmt::print(stderr, "plumbmark: left out: {}\n", file.error->text());
    }
    if (!options.plots.empty()) {
        const Result<void> written = write_plots(report::season_plots(*document), options.plots);
        if (!written) return complain(written.error());
    }
    if (options.json)
        fmt::print("{}", report::season_json(*document));
    else if (options.plots.empty())
        fmt::print("{}", report::season_text(*document));
    return kDone;
}

/// One reviewer's run: where it stands, and laid open.
struct Reviewed {
    meet::State state;
    meet::RunId run;
    std::shared_ptr<const report::LaidOpen> open;
};

/// "FILE:RUN", or a run alone where there is one file.
Result<std::unique_ptr<Reviewed>> reviewed(const SeasonOptions& options, const std::string& text,
                                           const std::stop_token& stop) {
    const std::optional<std::string> named = named_file(options.files, text, ':');
    if (!named && options.files.size() > 1)
        return Error{Category::bad_input, worded("Say of which file the run '{}' is, as FILE:RUN.", text),
                     "--raters"};
    const auto path = std::find_if(options.files.begin(), options.files.end(), [&](const std::string& file) {
        return !named || file == *named || std::filesystem::path(file).filename() == *named;
    });
    Result<meet::State> state = read_meet(*path);
    if (!state) return state.error();
    auto made = std::make_unique<Reviewed>(Reviewed{std::move(*state), {}, nullptr});
    const Result<meet::RunId> run = find_run(made->state, named ? text.substr(named->size() + 1) : text);
    if (!run) return Error{run.error().category, run.error().sentence, *path};
    made->run = *run;
    auto open = review::RunStudy(made->state, *path).open(*run, stop);
    if (!open) return open.error();
    made->open = std::move(*open);
    return made;
}

int of_raters(const SeasonOptions& options, const std::stop_token& stop) {
    const auto a = reviewed(options, options.raters[0], stop);
    if (!a) return complain(a.error());
    const auto b = reviewed(options, options.raters[1], stop);
    if (!b) return complain(b.error());
    const auto document = review::raters({(*a)->state, (*a)->run, *(*a)->open},
                                         {(*b)->state, (*b)->run, *(*b)->open}, options.tolerance);
    if (!document) return complain(document.error());
    fmt::print("{}", options.json ? report::raters_json(*document) : report::raters_text(*document));
    return kDone;
}

int run(const SeasonOptions& options) {
    const Interrupt interrupt;
    return options.raters.empty() ? of_season(options, interrupt.token())
                                  : of_raters(options, interrupt.token());
}

}  // namespace

void add_season(CLI::App& program, Action& action) {
    auto options = std::make_shared<SeasonOptions>();
    CLI::App* command = program.add_subcommand(
        "season", "Runs over several meets, station by station; or two reviewers' marks of one footage");
    command->add_option("FILES", options->files, "Meet files (.meet); they are only read")->required();
    CLI::Option* athlete = command->add_option(
        "--athlete", options->athletes,
        "Whose runs, by name or number; FILE=NUMBER gives the number in one file, once for each");
    CLI::Option* raters =
        command->add_option("--raters", options->raters,
                            "Two runs, as FILE:RUN, that are two reviewers' marks of the same footage");
    raters->expected(2)->excludes(athlete);
    command
        ->add_option("--tolerance", options->tolerance,
                     "Frames by which two marks may differ (with --raters)")
        ->check(CLI::Range(0, 1000))
        ->needs(raters);
    command
        ->add_option("--plots", options->plots,
                     "Draw how the stations went over the meets, as SVG and PNG into this folder")
        ->excludes(raters);
    command->add_flag("--json", options->json, "As JSON (docs/study-json.md)");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
