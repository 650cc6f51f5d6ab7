// plumbmark compare MEETFILE: two runs held against each other, or one against the best of others.
#include <fmt/format.h>

#include <filesystem>
#include <utility>

#include "base/worded.h"
#include "cli/internal/competition.h"
#include "cli/internal/interrupt.h"
#include "cli/internal/plot_files.h"
#include "report/compare_plots.h"
#include "review/compare_runs.h"
#include "review/study_runs.h"
#include "store/csv.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using review::Group;
using review::Opened;

struct CompareOptions {
    std::string meet;
    std::vector<std::string> runs;
    std::string align;
    std::string group;
    std::vector<std::string> against;
    std::string csv;
    std::string plots;
    bool json = false;
};

/// Who does not say anything of 'group' is told and left out.
std::vector<Opened> opened_of(review::RunStudy& study, const std::vector<meet::RunId>& ids,
                              const std::stop_token& stop) {
    std::vector<Opened> runs;
    ProgressLine line("laying runs open");
    for (std::size_t i = 0; i < ids.size() && !stop.stop_requested(); ++i) {
        auto open = study.open(ids[i], stop);
        line.show(static_cast<double>(i + 1) / static_cast<double>(ids.size()));
        if (open)
            runs.push_back(std::move(*open));
        else if (open.error().category != Category::cancelled)
            fmt::print(stderr, "plumbmark: left out: {}\n", open.error().text());
    }
    return runs;
}

void add_groups(std::vector<Group>& groups, const base::Sentence& name, const std::vector<Opened>& runs) {
    groups.push_back({report::Reference::Kind::group_best, name, runs});
    if (runs.size() > 1) groups.push_back({report::Reference::Kind::group_median, name, runs});
}

Result<std::vector<Group>> groups_of(const meet::State& state, review::RunStudy& study, meet::RunId mine,
                                     const CompareOptions& options, const std::stop_token& stop) {
    std::vector<Group> groups;
    groups.push_back({report::Reference::Kind::own_best, worded("the athlete's other runs"),
                      opened_of(study, review::other_runs_of(state, mine), stop)});
    if (!options.group.empty()) {
        const auto ids = review::runs_of_division(state, options.group, mine);
        if (!ids) return Error{ids.error().category, ids.error().sentence, "--group"};
        add_groups(groups, worded("division {}", options.group), opened_of(study, *ids, stop));
    }
    std::vector<meet::RunId> chosen;
    std::vector<base::Sentence> names;
    for (const std::string& wanted : options.against) {
        const Result<meet::RunId> run = find_run(state, wanted);
        if (!run) return run.error();
        if (*run == mine) continue;  // held against itself a run would seem open where it is not
        chosen.push_back(*run);
        names.emplace_back(state.runs().at(*run).label);
    }
    if (!options.against.empty())
        add_groups(groups, base::listed_words(names), opened_of(study, chosen, stop));
    if (stop.stop_requested()) return cancelled();
    return groups;
}

Result<report::CompareDocument> document_of(const meet::State& state, const CompareOptions& options,
                                            const std::stop_token& stop) {
    review::RunStudy study(state, options.meet);
    std::vector<Opened> runs;
    std::vector<meet::RunId> ids;
    for (const std::string& wanted : options.runs) {
        const Result<meet::RunId> id = find_run(state, wanted);
        if (!id) return Error{id.error().category, id.error().sentence, options.meet};
        auto open = study.open(*id, stop);
        if (!open) return open.error();
        ids.push_back(*id);
        runs.push_back(std::move(*open));
    }
    if (runs.size() == 2) {
        review::Align align;
        if (!options.align.empty()) {
            auto read = review::read_align(options.align);
            if (!read) return read.error();
            align = *read;
        }
        return review::compare_two(runs[0], runs[1], align);
    }
    const auto groups = groups_of(state, study, ids.front(), options, stop);
    if (!groups) return groups.error();
    return review::compare_one(runs.front(), *groups);
}

/// What does not go together; empty: all well.
std::string misuse(const CompareOptions& options) {
    if (options.runs.size() > 2) return "compare takes one or two runs (--run).";
    const bool group = !options.group.empty() || !options.against.empty();
    if (options.runs.size() == 2 && group) return "--group and --against go with one --run.";
    if (options.runs.size() == 1 && !options.align.empty()) return "--align goes with two runs (--run).";
    return "";
}

int run(const CompareOptions& options) {
    if (const std::string wrong = misuse(options); !wrong.empty()) {
        fmt::print(stderr, "plumbmark: {}\n", wrong);
        return kUsage;
    }
    const Result<meet::State> state = read_meet(options.meet);
    if (!state) return complain(state.error());
    const Interrupt interrupt;
    const auto document = document_of(*state, options, interrupt.token());
    if (!document) return complain(document.error());
    if (!options.csv.empty()) {
        const Result<void> written =
            write_file(options.csv, store::write_csv(report::compare_table(*document)));
        if (!written) return complain(written.error());
    }
    if (!options.plots.empty()) {
        if (const Result<void> written = write_plots(report::compare_plots(*document), options.plots);
            !written)
            return complain(written.error());
    }
    if (options.json)
        fmt::print("{}", report::compare_json(*document));
    else if (options.csv.empty() && options.plots.empty())
        fmt::print("{}", report::compare_text(*document));
    return kDone;
}

}  // namespace

void add_compare(CLI::App& program, Action& action) {
    auto options = std::make_shared<CompareOptions>();
    CLI::App* command = program.add_subcommand(
        "compare", "Lay one run open for the coach, or hold two against each other, from their marks");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet); it is only read")->required();
    command
        ->add_option("--run", options->runs,
                     "A run, by label or number; give it twice to hold two against each other")
        ->required();
    command->add_option("--align", options->align,
                        "At what two runs lie over each other: start, station:KEY or take-off:N");
    command->add_option("--group", options->group,
                        "Hold one run against the other runs of this division, by its key");
    command->add_option("--against", options->against,
                        "Hold one run against this one; give it once for each");
    command->add_option("--csv", options->csv, "Write every figure as a table (CSV) there");
    command->add_option("--plots", options->plots, "Write every plot as SVG and PNG into this folder");
    command->add_flag("--json", options->json, "As JSON (docs/study-json.md)");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
