// plumbmark appeal MEETFILE: the queue of appeals, lodging one, and deciding it.
#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "meet/appeals.h"
#include "meet/competition_words.h"
#include "meet/floor_entry.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct AppealOptions {
    std::string meet, lodge, round, station, by, as = "coach", point, ruling, reason;
    std::int64_t decide = -1, withdraw = -1;
    std::vector<std::string> signatures;
    bool fee_paid = false, confirm = false;
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

std::string number_of(const meet::State& state, const meet::Run& run) {
    const auto entry = state.entries().find(run.entry);
    const meet::AthleteId athlete = entry == state.entries().end() ? run.athlete : entry->second.athlete;
    const auto stored = state.athletes().find(athlete);
    return stored == state.athletes().end() ? run.label : stored->second.number;
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
                   number_of(state, state.runs().at(appeal.run)), appeal.station,
                   appeal.lodged_by.empty() ? "somebody" : appeal.lodged_by,
                   meet::capacity_words(appeal.capacity), appeal.point.empty() ? "" : ": " + appeal.point,
                   waiting.deadline ? "; " + left_words(*waiting.deadline) : "");
    }
}

/// Minutes by which the machine's clock on the wall is before UTC.
int utc_offset_minutes() {
    const std::time_t now = std::time(nullptr);
    std::tm local{};
    localtime_r(&now, &local);
    return static_cast<int>(local.tm_gmtoff / 60);
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
    return meet::Appeal{{state.next_id(meet::Kind::appeal)},
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
    std::vector<meet::Refusal> refusals;
    meet::AppealId id;
    const auto state = review::change_meet(options.meet, [&](const meet::State& now) -> Result<meet::Change> {
        Result<meet::Appeal> appeal = appeal_of(options, now);
        if (!appeal) return appeal.error();
        refusals = meet::refusals(now, *appeal, utc_offset_minutes());
        id = appeal->id;
        // A refused appeal is written down as well, with its reasons.
        for (const meet::Refusal& refusal : refusals) {
            appeal->status = meet::AppealStatus::refused;
            appeal->reason += (appeal->reason.empty() ? "" : " ") + refusal.sentence;
        }
        return meet::Change{
            refusals.empty() ? "lodge an appeal" : "refuse an appeal", {{std::nullopt, *appeal}}, 0};
    });
    if (!state) return complain(state.error());
    if (refusals.empty()) {
        fmt::print("appeal {} is lodged\n", id.value);
        return kDone;
    }
    for (const meet::Refusal& refusal : refusals)
        fmt::print("appeal {} is refused: {}\n", id.value, refusal.sentence);
    return kFound;
}

Result<const meet::Appeal*> find_appeal(const meet::State& state, std::int64_t id) {
    const auto appeal = state.appeals().find({id});
    if (appeal == state.appeals().end())
        return Error{Category::not_found, fmt::format("There is no appeal {}.", id), ""};
    return &appeal->second;
}

Result<meet::Decision> decision_of(const AppealOptions& options, const meet::State& state) {
    const auto appeal = find_appeal(state, options.decide);
    if (!appeal) return appeal.error();
    const auto ruling = read_choice(meet::kVerdictWords, options.ruling, "ruling");
    if (!ruling) return ruling.error();
    const meet::FloorCall* call = meet::call_at(state, (*appeal)->run, (*appeal)->station);
    if (call == nullptr)
        return Error{Category::bad_input, "No call was given at this station of the run.", ""};
    const meet::Effect effect = meet::effect_of(state.rules().appeals, call->call, *ruling);
    meet::Decision decision{{state.next_id(meet::Kind::decision)},
                            (*appeal)->id,
                            *ruling,
                            effect.outcome,
                            effect.call,
                            options.reason,
                            review::now(),
                            {}};
    for (const std::string& signature : options.signatures) {
        const std::size_t colon = signature.rfind(':');
        const auto capacity =
            read_choice(meet::kCapacityWords,
                        colon == std::string::npos ? "head_judge" : signature.substr(colon + 1), "capacity");
        if (!capacity) return capacity.error();
        decision.signatures.push_back({signature.substr(0, colon), *capacity});
    }
    if (const auto objection = meet::objection(state, decision))
        return Error{Category::bad_input, *objection, fmt::format("appeal {}", options.decide)};
    return decision;
}

void print_effect(const meet::State& state, const meet::Change& change, const meet::Decision& decision) {
    const meet::Appeal& appeal = state.appeals().at(decision.appeal);
    const meet::FloorCall* call = meet::call_at(state, appeal.run, appeal.station);
    fmt::print("{}\n", meet::effect_of(state.rules().appeals, call->call, decision.ruling).sentence);
    const std::vector<std::string> moves = review::effect_on_standings(state, change);
    if (moves.empty()) fmt::print("The standings stay as they are.\n");
    for (const std::string& move : moves)
        fmt::print("{}\n", move);
}

int decide(const AppealOptions& options) {
    const auto make = [&](const meet::State& now) -> Result<meet::Change> {
        const Result<meet::Decision> decision = decision_of(options, now);
        if (!decision) return decision.error();
        const meet::Change change{"decide an appeal", {{std::nullopt, *decision}}, 0};
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
        const auto appeal = find_appeal(now, options.withdraw);
        if (!appeal) return appeal.error();
        if (meet::decision_on(now, (*appeal)->id) != nullptr)
            return Error{Category::bad_input, "It is decided already.",
                         fmt::format("appeal {}", options.withdraw)};
        meet::Appeal after = **appeal;
        after.status = meet::AppealStatus::withdrawn;
        after.reason = options.reason;
        return meet::Change{"withdraw an appeal", {{**appeal, after}}, 0};
    });
    if (!state) return complain(state.error());
    fmt::print("appeal {} is withdrawn\n", options.withdraw);
    return kDone;
}

int queue(const AppealOptions& options) {
    const auto state = read_meet(options.meet);
    if (!state) return complain(state.error());
    print_queue(*state);
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
    CLI::Option* decide =
        command->add_option("--decide", options->decide, "Decide the appeal of this number")->excludes(lodge);
    command
        ->add_option("--ruling", options->ruling,
                     "What the review came to: clear, fail, not_shown or not_reached")
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
