// plumbmark rule MEETFILE: the ruling of a run, in sentences or as JSON.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "report/ruling_json.h"
#include "report/ruling_text.h"
#include "review/documents.h"
#include "review/run_measures.h"

namespace plumbmark::cli {
namespace {

struct RuleOptions {
    std::string meet;
    std::string run;
    bool json = false;
    bool all = false;
};

base::Result<std::string> ruled(review::Session& session, bool json) {
    base::Result<report::RulingDocument> document = review::ruling_document(session);
    if (!document) return document.error();
    const auto measured = review::run_measures(session);
    if (!measured) return measured.error();
    review::add_measures(*measured, session.state(), session.run(), *document);
    return json ? report::ruling_json(*document) : report::ruling_text(*document);
}

int run(const RuleOptions& options) {
    auto session = open_run(options.meet, options.run, true);
    if (!session) return complain(session.error());
    std::vector<meet::RunId> runs;
    for (const auto& [id, stored] : (*session)->state().runs()) {
        if (options.all || id == (*session)->run()) runs.push_back(id);
    }
    int worst = kDone;
    if (options.json && options.all) fmt::print("[\n");
    bool first = true;
    for (const meet::RunId id : runs) {
        (*session)->select_run(id);
        if (base::Result<void> settled = (*session)->settle(); !settled) return complain(settled.error());
        base::Result<std::string> text = ruled(**session, options.json);
        if (!text) {
            base::Error error = text.error();
            const std::string label = (*session)->state().runs().at(id).label;
            error.where = error.where.empty() ? label : label + ", " + error.where.english();
            worst = complain(error);
            continue;
        }
        if (!first) fmt::print("{}\n", options.json ? "," : "");
        first = false;
        fmt::print("{}", *text);
    }
    if (options.json && options.all) fmt::print("]\n");
    return worst;
}

}  // namespace

void add_rule(CLI::App& program, Action& action) {
    auto options = std::make_shared<RuleOptions>();
    CLI::App* command = program.add_subcommand("rule", "Rule a run from its marks, station by station");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    CLI::Option* run_option =
        command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->add_flag("--all", options->all, "Every run of the meet")->excludes(run_option);
    command->add_flag("--json", options->json, "As JSON (docs/ruling-json.md); with --all an array");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
