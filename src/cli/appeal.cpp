// plumbmark appeal MEETFILE: the queue of appeals, lodging one, and deciding it.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/text.h"
#include "base/word_list.h"
#include "cli/internal/competition.h"
#include "meet/appeals.h"
#include "meet/competition_words.h"
#include "meet/floor_entry.h"
#include "review/appeal_work.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct AppealOptions {
    std::string meet, lodge, round, station, by, as = "coach", point, ruling, reason;
    std::int64_t decide = -1, withdraw = -1;
    std::vector<std::string> signatures;
    bool fee_paid = false, confirm = false, json = false;
};

template <class List>
auto read_choice(const List& list, const std::string& word, const char* what)
    -> Result<typename List::value_type::first_type> {
    const auto found = base::value_of(list, word);
    if (found) return *found;
    return Error{Category::bad_input,
                 fmt::format("'{}' is no {}; {} is.", word, what, base::listed(base::words_in(list), "or")),
                 ""};
}

std::string left_words(const meet::WallTime& deadline) {
    const std::int64_t left = deadline.ms - review::now().ms;
    if (left < 0) return "the time for appeals about this result is over";
    return fmt::format("appeals about this result end in {}:{:02}", left / 60'000, left / 1'000 % 60);
}

void print_queue(const meet::State& state) {
    const std::vector<meet::Waiting> queue = meet::waiting_appeals(state);
    if (queue.empty()) fmt::print("No appeal waits.\n");
    for (const meet::Waiting& waiting : queue) {
        const meet::Appeal& appeal = state.appeals().at(waiting.appeal);
        fmt::print("appeal {}: number {}, station '{}', by {} ({}){}{}\n", appeal.id.value,
                   review::number_of(state, state.runs().at(appeal.run)), appeal.station,
                   appeal.lodged_by.empty() ? "somebody" : appeal.lodged_by,
                   meet::capacity_words(appeal.capacity), appeal.point.empty() ? "" : ": " + appeal.point,
                   waiting.deadline ? "; " + left_words(*waiting.deadline) : "");
    }
}

Result<meet::Appeal> appeal_of(const AppealOptions& options, const meet::State& state) {
    const auto round = find_round(state, options.round);
    if (!round) return round.error();
    const auto entry = find_entry(state, *round, options.lodge);
    if (!entry) return entry.error();
    const meet::Run* run = meet::latest_run(state, *entry);
    if (run == nullptr)
        return Error{Category::not_found, fmt::format("Number {} has not run yet.", options.lodge), ""};
    const auto capacity = read_choice(meet::kCapacityWords, options.as, "capacity");
    if (!capacity) return capacity.error();
    if (options.station.empty())
        return Error{Category::bad_input, "Say which station the appeal is about, with --station.", ""};
    return meet::Appeal{{},
                        run->id,
                        options.station,
                        options.point,
                        options.by,
                        *capacity,
                        review::now(),
                        options.fee_paid,
                        meet::AppealStatus::lodged,
                        ""};
}

int lodge(const AppealOptions& options) {
    review::Lodging made;
    const auto state = review::change_meet(options.meet, [&](const meet::State& now) -> Result<meet::Change> {
        const Result<meet::Appeal> appeal = appeal_of(options, now);
        if (!appeal) return appeal.error();
        auto lodging = review::lodging(now, *appeal);
        if (!lodging) return lodging.error();
        made = std::move(*lodging);
        return made.change;
    });
    if (!state) return complain(state.error());
    if (made.refusals.empty()) {
        fmt::print("appeal {} is lodged\n", made.id.value);
        return kDone;
    }
    for (const meet::Refusal& refusal : made.refusals)
        fmt::print("appeal {} is refused: {}\n", made.id.value, refusal.sentence.english());
    return kFound;
}

Result<std::vector<meet::Signature>> signatures_of(const AppealOptions& options) {
    std::vector<meet::Signature> signatures;
    for (const std::string& signature : options.signatures) {
        const std::size_t colon = signature.rfind(':');
        const auto capacity =
            read_choice(meet::kCapacityWords,
                        colon == std::string::npos ? "head_judge" : signature.substr(colon + 1), "capacity");
        if (!capacity) return capacity.error();
        signatures.push_back({signature.substr(0, colon), *capacity});
    }
    return signatures;
}

/// As said on the command line, else what the run's marks come to at the station.
Result<review::AppealRuling> ruling_of(const AppealOptions& options) {
    if (options.ruling.empty()) return review::appeal_ruling(options.meet, meet::AppealId{options.decide});
    const auto said = read_choice(meet::kVerdictWords, options.ruling, "ruling");
    if (!said) return said.error();
    return review::AppealRuling{*said, ""};
}

Result<meet::Decision> decision_of(const AppealOptions& options, const meet::State& state,
                                   const review::AppealRuling& ruling) {
    const auto signatures = signatures_of(options);
    if (!signatures) return signatures.error();
    const std::string& reason = options.reason.empty() ? ruling.sentence.english() : options.reason;
    auto decision = review::decision_by(state, {options.decide}, ruling.verdict, reason, *signatures);
    if (!decision) return decision.error();
    if (const auto objection = meet::objection(state, *decision))
        return Error{Category::bad_input, *objection, fmt::format("appeal {}", options.decide)};
    return decision;
}

void print_effect(const meet::State& state, const meet::Change& change, const meet::Decision& decision) {
    const meet::Appeal& appeal = state.appeals().at(decision.appeal);
    const meet::FloorCall* call = meet::call_at(state, appeal.run, appeal.station);
    fmt::print("{}\n",
               meet::effect_of(state.rules().appeals, call->call, decision.ruling).sentence.english());
    const std::vector<std::string> moves = review::effect_on_standings(state, change);
    if (moves.empty()) fmt::print("The standings stay as they are.\n");
    for (const std::string& move : moves)
        fmt::print("{}\n", move);
}

int decide(const AppealOptions& options) {
    const auto ruling = ruling_of(options);
    if (!ruling) return complain(ruling.error());
    const auto make = [&](const meet::State& now) -> Result<meet::Change> {
        const Result<meet::Decision> decision = decision_of(options, now, *ruling);
        if (!decision) return decision.error();
        const meet::Change change{"decide an appeal", {{std::nullopt, *decision}}, 0};
        if (!ruling->sentence.empty())
            fmt::print("The ruling is {}: {}\n", ruling::verdict_words(ruling->verdict),
                       ruling->sentence.english());
        print_effect(now, change, *decision);
        return change;
    };
    if (options.confirm) {
        const auto state = review::change_meet(options.meet, make);
        if (!state) return complain(state.error());
        fmt::print("appeal {} is decided\n", options.decide);
        return kDone;
    }
    const auto state = read_meet(options.meet);
    if (!state) return complain(state.error());
    const auto change = make(*state);
    if (!change) return complain(change.error());
    fmt::print("Nothing is decided yet: say --confirm.\n");
    return kDone;
}

int withdraw(const AppealOptions& options) {
    const auto state = review::change_meet(options.meet, [&](const meet::State& now) -> Result<meet::Change> {
        return review::withdrawal(now, {options.withdraw}, options.reason);
    });
    if (!state) return complain(state.error());
    fmt::print("appeal {} is withdrawn\n", options.withdraw);
    return kDone;
}

nlohmann::ordered_json decision_json(const meet::Decision& decision) {
    nlohmann::ordered_json out{{"ruling", base::word_for(meet::kVerdictWords, decision.ruling)},
                               {"outcome", base::word_for(meet::kOutcomeWords, decision.outcome)}};
    out["call"] = decision.outcome == meet::Outcome::rerun
                      ? nlohmann::ordered_json()
                      : nlohmann::ordered_json(base::word_for(meet::kCallWords, decision.call));
    out["reason"] = decision.reason;
    out["decided_at_ms"] = decision.decided_at.ms;
    out["signatures"] = nlohmann::ordered_json::array();
    for (const meet::Signature& signature : decision.signatures)
        out["signatures"].push_back({{"name", signature.name},
                                     {"capacity", base::word_for(meet::kCapacityWords, signature.capacity)}});
    return out;
}

/// Every appeal that was ever lodged, in that order.
void print_json(const meet::State& state) {
    nlohmann::ordered_json out{{"format", "plumbmark-appeals/1"}};
    out["appeals"] = nlohmann::ordered_json::array();
    for (const auto& [id, appeal] : state.appeals()) {
        const meet::Run& run = state.runs().at(appeal.run);
        const meet::FloorCall* call = meet::call_at(state, appeal.run, appeal.station);
        const meet::Decision* decision = meet::decision_on(state, id);
        nlohmann::ordered_json one{{"appeal", id.value},
                                   {"number", review::number_of(state, run)},
                                   {"run", run.label},
                                   {"station", appeal.station},
                                   {"point", appeal.point},
                                   {"by", appeal.lodged_by},
                                   {"as", base::word_for(meet::kCapacityWords, appeal.capacity)},
                                   {"lodged_at_ms", appeal.lodged_at.ms},
                                   {"status", base::word_for(meet::kAppealStatusWords, appeal.status)}};
        one["floor_call"] = call ? nlohmann::ordered_json(base::word_for(meet::kCallWords, call->call))
                                 : nlohmann::ordered_json();
        one["decision"] = decision ? decision_json(*decision) : nlohmann::ordered_json();
        out["appeals"].push_back(std::move(one));
    }
    fmt::print("{}\n", out.dump(1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
}

int queue(const AppealOptions& options) {
    const auto state = read_meet(options.meet);
    if (!state) return complain(state.error());
    options.json ? print_json(*state) : print_queue(*state);
    return kDone;
}

int appeal(const AppealOptions& options) {
    if (!options.lodge.empty()) return lodge(options);
    if (options.decide >= 0) return decide(options);
    if (options.withdraw >= 0) return withdraw(options);
    return queue(options);
}

}  // namespace

void add_appeal(CLI::App& program, Action& action) {
    auto options = std::make_shared<AppealOptions>();
    CLI::App* command =
        program.add_subcommand("appeal", "The appeals that wait; lodging, deciding or withdrawing one");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    CLI::Option* lodge =
        command->add_option("--lodge", options->lodge, "Lodge one about the athlete with this number");
    command->add_option("--round", options->round, "The round, by name or number; the last one by default");
    command->add_option("--station", options->station, "The station it is about, by key");
    command->add_option("--by", options->by, "Who lodges it");
    command->add_option("--as", options->as,
                        "As what: athlete, coach, club, station_judge, head_judge or jury");
    command->add_option("--point", options->point, "What is asked");
    command->add_flag("--fee-paid", options->fee_paid, "The fee is paid");
    CLI::Option* json = command->add_flag("--json", options->json, "The appeals with their decisions as JSON")
                            ->excludes(lodge);
    CLI::Option* decide = command->add_option("--decide", options->decide, "Decide the appeal of this number")
                              ->excludes(lodge)
                              ->excludes(json);
    command
        ->add_option("--ruling", options->ruling,
                     "What the review came to, where it was not done here: clear, fail, not_shown or "
                     "not_reached; without it the run's marks are ruled")
        ->needs(decide);
    command->add_option("--sign", options->signatures, "Who decides, once for each: NAME or NAME:CAPACITY")
        ->needs(decide);
    command
        ->add_flag("--confirm", options->confirm,
                   "Write the decision down; without it only its effect is said")
        ->needs(decide);
    command->add_option("--withdraw", options->withdraw, "Withdraw the appeal of this number")
        ->excludes(lodge)
        ->excludes(decide);
    command->add_option("--reason", options->reason, "Why it was decided so, or withdrawn");
    command->callback([options, &action] { action = [options] { return appeal(*options); }; });
}

}  // namespace plumbmark::cli
