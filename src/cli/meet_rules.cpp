// plumbmark rules MEETFILE: how the meet is run.
#include <fmt/format.h>

#include "cli/internal/competition.h"
#include "meet/rule_settings.h"

namespace plumbmark::cli {
namespace {

struct RulesOptions {
    std::string meet;
    std::vector<std::string> settings;
};

base::Result<meet::State> changed(const RulesOptions& options) {
    if (options.settings.empty()) return read_meet(options.meet);
    return review::change_meet(options.meet, [&](const meet::State& state) -> base::Result<meet::Change> {
        meet::Rules rules = state.rules();
        for (const std::string& setting : options.settings) {
            if (base::Result<void> set = meet::set_rule(rules, setting); !set) return set.error();
        }
        if (rules == state.rules()) return meet::Change{};
        return meet::Change{"rules of the meet", {{state.rules(), rules}}, 0};
    });
}

int show_rules(const RulesOptions& options) {
    const base::Result<meet::State> state = changed(options);
    if (!state) return complain(state.error());
    for (const meet::RuleSetting& setting : meet::rule_settings())
        fmt::print("{} = {}  ({})\n", setting.name, setting.value(state->rules()), setting.about);
    return kDone;
}

}  // namespace

void add_meet_rules(CLI::App& program, Action& action) {
    auto options = std::make_shared<RulesOptions>();
    CLI::App* command = program.add_subcommand(
        "rules", "How the meet is run: what counts, how times are rounded, and its rules of appeals");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--set", options->settings, "NAME=VALUE, once for each rule to change");
    command->callback([options, &action] { action = [options] { return show_rules(*options); }; });
}

}  // namespace plumbmark::cli
