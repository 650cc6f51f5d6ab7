// plumbmark trials add-tester, add-rig, add-trial, close, release: what the tester writes down.
#include <fmt/format.h>

#include <cmath>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "cli/internal/trials.h"
#include "meet/testing_words.h"
#include "review/rig_text.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr double kMillimetresOfCentimetre = 10;

std::optional<std::int32_t> millimetres(const std::optional<double>& value, double unit) {
    if (!value) return std::nullopt;
    return static_cast<std::int32_t>(std::lround(*value * unit));
}

/// Makes the change and says what 'told' makes of the meet after it.
int change(const std::string& meet_file, const std::function<Result<meet::Change>(const meet::State&)>& make,
           const std::function<std::string(const meet::State&)>& told) {
    const Result<meet::State> after = review::change_meet(meet_file, make);
    if (!after) return complain(after.error());
    fmt::print("{}\n", told(*after));
    return kDone;
}

// --- testers

struct TesterCall {
    std::string meet;
    meet::Tester tester;
    std::optional<double> stature, span, reach;
    std::string sex;
};

int run(const TesterCall& call) {
    meet::Tester tester = call.tester;
    tester.stature_mm = millimetres(call.stature, kMillimetresOfCentimetre);
    tester.span_mm = millimetres(call.span, kMillimetresOfCentimetre);
    tester.reach_mm = millimetres(call.reach, kMillimetresOfCentimetre);
    tester.sex = base::value_of(meet::kSexWords, call.sex);
    return change(
        call.meet, [&](const meet::State& state) { return review::tester_change(state, tester); },
        [](const meet::State& state) {
            const meet::Tester& made = state.testers().rbegin()->second;
            return fmt::format("tester {}: {}", made.id.value, made.name);
        });
}

void add_tester(CLI::App& trials, Action& action) {
    constexpr double kLeast = 30, kMost = 300;
    auto call = std::make_shared<TesterCall>();
    CLI::App* command = trials.add_subcommand("add-tester", "Write down somebody who tries stations out");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet)")->required();
    command->add_option("--name", call->tester.name, "What they are called")->required();
    command->add_option("--stature", call->stature, "How tall, without shoes, centimetres")
        ->check(CLI::Range(kLeast, kMost));
    command->add_option("--span", call->span, "From fingertip to fingertip, arms out, centimetres")
        ->check(CLI::Range(kLeast, kMost));
    command
        ->add_option("--reach", call->reach, "From the floor to the fingertips of a raised arm, centimetres")
        ->check(CLI::Range(kLeast, kMost));
    command->add_option("--age", call->tester.age_years, "Years")
        ->check(CLI::Range(meet::kYoungestTester, meet::kOldestTester));
    command->add_option("--sex", call->sex, "As tables divide people")
        ->check(CLI::IsMember(base::words_in(meet::kSexWords)));
    command->add_option("--level", call->tester.level, "How practised, in your words: groups go by it");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

// --- rigs

struct RigCall {
    std::string meet;
    meet::RigState rig;
    std::vector<std::string> items, photos;
};

int run(const RigCall& call) {
    meet::RigState rig = call.rig;
    for (const std::string& text : call.items) {
        Result<meet::RigItem> item = review::read_rig_item(text);
        if (!item) return complain({item.error().category, item.error().sentence, "--item"});
        rig.items.push_back(std::move(*item));
    }
    const std::vector<std::filesystem::path> photos(call.photos.begin(), call.photos.end());
    return change(
        call.meet,
        [&](const meet::State& state) { return review::rig_change(state, call.meet, rig, photos); },
        [](const meet::State& state) {
            const meet::RigState& made = state.rigs().rbegin()->second;
            return fmt::format("rig {} of {}: {}, {}", made.id.value, made.station,
                               base::counted(static_cast<std::int64_t>(made.items.size()), "item"),
                               base::counted(static_cast<std::int64_t>(made.photos.size()), "photo"));
        });
}

void add_rig(CLI::App& trials, Action& action) {
    auto call = std::make_shared<RigCall>();
    CLI::App* command = trials.add_subcommand(
        "add-rig",
        "Write down how a station is set up now; the latest counts, and another one asks for a new "
        "release");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet)")->required();
    command->add_option("--station", call->rig.station, "The station, by key")->required();
    command->add_option(
        "--item", call->items,
        "What hangs or lies where and how high in metres, as 'hawser;hook 3;2.25'; give it once "
        "for each");
    command->add_option("--photo", call->photos,
                        "A photograph; it stays where it is, and its SHA-256 is kept. Give it once for each");
    command->add_option("--note", call->rig.note, "What else there is to say");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

// --- trials

struct TrialCall {
    std::string meet, tester, run;
    std::int64_t rig = -1;
    meet::Trial trial;
    bool cleared = false, failed = false;
};

/// By number ("3") or name.
Result<meet::TesterId> find_tester(const meet::State& state, const std::string& wanted) {
    std::vector<std::string> names;
    std::vector<meet::TesterId> found;
    for (const auto& [id, tester] : state.testers()) {
        if (std::to_string(id.value) == wanted) return id;
        if (tester.name == wanted) found.push_back(id);
        names.push_back(fmt::format("{} ({})", id.value, tester.name));
    }
    if (found.size() == 1) return found.front();
    if (found.size() > 1)
        return Error{Category::not_found,
                     fmt::format("Several testers are called '{}'; name one by number: {}.", wanted,
                                 base::listed(names)),
                     ""};
    return Error{Category::not_found,
                 names.empty()
                     ? "Nobody was written down as a tester yet; add them with add-tester."
                     : fmt::format("There is no tester '{}'; there are {}.", wanted, base::listed(names)),
                 ""};
}

Result<meet::Change> change_of(const TrialCall& call, const meet::State& state) {
    meet::Trial trial = call.trial;
    const Result<meet::TesterId> tester = find_tester(state, call.tester);
    if (!tester) return tester.error();
    trial.tester = *tester;
    if (!call.run.empty()) {
        const Result<meet::RunId> run = find_run(state, call.run);
        if (!run) return run.error();
        trial.run = *run;
    }
    if (call.rig >= 0) {
        trial.rig = {call.rig};
        const auto rig = state.rigs().find(trial.rig);
        if (rig == state.rigs().end() || rig->second.station != trial.station)
            return Error{Category::not_found,
                         fmt::format("The station '{}' has no rig {}.", trial.station, call.rig), "--rig"};
    }
    if (call.cleared) trial.seen = meet::TrialOutcome::cleared;
    if (call.failed) trial.seen = meet::TrialOutcome::failed;
    if (trial.seen == meet::TrialOutcome::not_said && call.run.empty())
        return Error{
            Category::bad_input,
            "Say how it came out with --cleared or --failed, or by which run it is ruled with --run.", ""};
    return review::trial_change(state, trial);
}

int run(const TrialCall& call) {
    return change(
        call.meet, [&](const meet::State& state) { return change_of(call, state); },
        [](const meet::State& state) {
            const meet::Trial& made = state.trials().rbegin()->second;
            return fmt::format("trial {} of {} from {} on rig {}", made.id.value, made.station, made.start,
                               made.rig.value);
        });
}

void add_trial(CLI::App& trials, Action& action) {
    auto call = std::make_shared<TrialCall>();
    CLI::App* command = trials.add_subcommand("add-trial", "Write down one go of a tester at a station");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet)")->required();
    command->add_option("--station", call->trial.station, "The station, by key")->required();
    command->add_option("--tester", call->tester, "Who, by name or number")->required();
    command->add_option("--rig", call->rig, "The rig, by number; the station's latest by default");
    command->add_option("--start", call->trial.start,
                        "The surface set off from, by key; the station's only one by default");
    command->add_option(
        "--landing", call->trial.landing,
        "The surface landed on, by key, also one that the station does not declare; of a trial "
        "that was cleared by eye the only one by default");
    command->add_option("--item", call->trial.items, "An item that was used, by key; give it once for each");
    command->add_option("--run", call->run, "The run that films it, by label or number: its ruling counts");
    CLI::Option* cleared = command->add_flag("--cleared", call->cleared, "Cleared, by eye");
    command->add_flag("--failed", call->failed, "Failed, by eye")->excludes(cleared);
    command->add_option("--how", call->trial.how, "What is worth knowing of it");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

// --- closings and releases

struct CloseCall {
    std::string meet, station, question, reason;
};

int run(const CloseCall& call) {
    return change(
        call.meet,
        [&](const meet::State& state) -> Result<meet::Change> {
            const auto report = report_of(call.meet, state, call.station);
            if (!report) return report.error();
            return review::closing_change(state, *report, call.question, call.reason);
        },
        [&](const meet::State&) { return "closed: " + call.question; });
}

struct ReleaseCall {
    std::string meet, station, sign, note;
};

int run(const ReleaseCall& call) {
    return change(
        call.meet,
        [&](const meet::State& state) -> Result<meet::Change> {
            const auto report = report_of(call.meet, state, call.station);
            if (!report) return report.error();
            return review::release_change(state, *report, call.sign, call.note, review::now());
        },
        [&](const meet::State& state) {
            const meet::Release& made = state.releases().rbegin()->second;
            return fmt::format("{}\nreleased: {}, definition {}, rig {}", study::release_notice().english(),
                               made.station, made.definition, made.rig.value);
        });
}

void add_closing(CLI::App& trials, Action& action) {
    auto call = std::make_shared<CloseCall>();
    CLI::App* command = trials.add_subcommand(
        "close", "Close an open question with a reason, as long as the station is defined as it is now");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet)")->required();
    command->add_option("--station", call->station, "The station, by key")->required();
    command->add_option("--question", call->question, "The question's key, as the list has it")->required();
    command->add_option("--reason", call->reason, "Why it is none")->required();
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

void add_release(CLI::App& trials, Action& action) {
    auto call = std::make_shared<ReleaseCall>();
    CLI::App* command = trials.add_subcommand(
        "release", "Sign that a station can be cleared as it is defined; nothing may be open");
    command->add_option("MEETFILE", call->meet, "The meet file (.meet)")->required();
    command->add_option("--station", call->station, "The station, by key")->required();
    command->add_option("--sign", call->sign, "Who signs")->required();
    command->add_option("--note", call->note, "What else there is to say");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace

void add_trials_entering(CLI::App& trials, Action& action) {
    add_tester(trials, action);
    add_rig(trials, action);
    add_trial(trials, action);
    add_closing(trials, action);
    add_release(trials, action);
}

}  // namespace plumbmark::cli
