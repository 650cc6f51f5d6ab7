#include "meet/appeals.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "base/worded.h"
#include "meet/who_ran.h"

namespace plumbmark::meet {
namespace {

using base::Sentence;
using base::worded;
using base::worded_n;

constexpr std::int64_t kMinute = 60'000;

Sentence lateness(std::int64_t ms) {
    const std::int64_t seconds = (ms + 999) / 1'000;
    return seconds < 120 ? worded_n("{} second", "{} seconds", seconds)
                         : worded_n("{} minute", "{} minutes", seconds / 60);
}

const Entry* entry_of(const State& state, const Run& run) {
    const auto entry = state.entries().find(run.entry);
    return entry == state.entries().end() ? nullptr : &entry->second;
}

class Examiner {
  public:
    Examiner(const State& state, const Appeal& appeal, int utc_offset_minutes)
        : state_(state), appeal_(appeal), rules_(state.rules().appeals), offset_(utc_offset_minutes) {}

    std::vector<Refusal> refusals() {
        look_at_time();
        look_at_capacity();
        look_at_fee();
        look_at_number();
        look_at_call();
        look_at_others();
        return std::move(found_);
    }

  private:
    void refuse(RefusalKind kind, Sentence sentence) { found_.push_back({kind, std::move(sentence)}); }

    void look_at_time() {
        const std::optional<WallTime> end = deadline(state_, state_.runs().at(appeal_.run));
        if (!end || appeal_.lodged_at <= *end) return;
        refuse(RefusalKind::late,
               worded("The appeal came {} after the deadline, {}.", lateness(appeal_.lodged_at.ms - end->ms),
                      time_of_day(*end, offset_)));
    }
    void look_at_capacity() {
        const auto& who = rules_.who;
        if (std::find(who.begin(), who.end(), appeal_.capacity) != who.end()) return;
        std::vector<Sentence> words;
        for (const Capacity capacity : who)
            words.push_back(base::looked_up_word(capacity_words(capacity)));
        refuse(RefusalKind::capacity,
               words.empty()
                   ? worded("This meet hears no appeals.")
                   : worded("An appeal may be lodged by {}, not by the {}.", base::listed_words(words, "or"),
                            base::looked_up_word(capacity_words(appeal_.capacity))));
    }
    void look_at_fee() {
        if (rules_.fee.empty() || appeal_.fee_paid) return;
        refuse(RefusalKind::fee, worded("The fee of {} is not paid.", rules_.fee));
    }
    void look_at_number() {
        if (rules_.most == 0) return;
        const Athlete* athlete = athlete_of(state_, state_.runs().at(appeal_.run));
        if (athlete == nullptr) return;
        const auto before =
            std::count_if(state_.appeals().begin(), state_.appeals().end(), [&](const auto& stored) {
                const Appeal& other = stored.second;
                return other.id != appeal_.id && other.status == AppealStatus::lodged &&
                       athlete_of(state_, state_.runs().at(other.run)) == athlete;
            });
        if (before < rules_.most) return;
        refuse(RefusalKind::too_many, worded("The athlete has lodged {} already; the meet allows {}.",
                                             worded_n("{} appeal", "{} appeals", before), rules_.most));
    }
    void look_at_call() {
        const FloorCall* call = call_at(state_, appeal_.run, appeal_.station);
        if (call == nullptr)
            return refuse(RefusalKind::no_call, worded("No call was given at this station of the run."));
        if (call->call == Call::clear && !rules_.may_worsen)
            refuse(RefusalKind::no_gain,
                   worded("The call is clear already, and in this meet a review does not worsen a result."));
    }
    void look_at_others() {
        for (const Appeal& other : state_.appeals_of(appeal_.run)) {
            if (other.id == appeal_.id || other.station != appeal_.station ||
                other.status != AppealStatus::lodged)
                continue;
            return refuse(RefusalKind::again, worded("This station of the run was appealed against before."));
        }
    }

    const State& state_;
    const Appeal& appeal_;
    const AppealRules& rules_;
    int offset_;
    std::vector<Refusal> found_;
};

/// A station that was not reached was not cleared either.
std::optional<Call> shown_by(ruling::Verdict verdict) {
    if (verdict == ruling::Verdict::not_shown) return std::nullopt;
    return verdict == ruling::Verdict::clear ? Call::clear : Call::fail;
}

std::string name_of_signer(const Signature& signature) {
    return std::string(base::trimmed(signature.name));
}

}  // namespace

std::string time_of_day(WallTime time, int utc_offset_minutes) {
    const std::int64_t minutes = time.ms / kMinute + utc_offset_minutes;
    const std::int64_t of_day = (minutes % 1'440 + 1'440) % 1'440;
    return fmt::format("{:02}:{:02}", of_day / 60, of_day % 60);
}

std::optional<WallTime> deadline(const State& state, const Run& run) {
    const AppealRules& rules = state.rules().appeals;
    const Entry* entry = entry_of(state, run);
    if (rules.minutes == 0 || entry == nullptr) return std::nullopt;
    const Division* division = division_with_key(state, state.athletes().at(entry->athlete).division);
    if (division == nullptr) return std::nullopt;
    std::optional<WallTime> first;
    for (const auto& [id, publication] : state.publications()) {
        if (publication.round != entry->round || publication.division != division->id) continue;
        const bool has_it =
            std::any_of(publication.lines.begin(), publication.lines.end(), [&](const PublishedLine& line) {
                return line.entry == entry->id && (line.place || line.status != EntryStatus::entered);
            });
        if (has_it && (!first || publication.at < *first)) first = publication.at;
    }
    if (!first) return std::nullopt;
    return WallTime{first->ms + rules.minutes * kMinute};
}

std::vector<Refusal> refusals(const State& state, const Appeal& appeal, int utc_offset_minutes) {
    return Examiner(state, appeal, utc_offset_minutes).refusals();
}

Effect effect_of(const AppealRules& rules, Call call, ruling::Verdict ruling) {
    if (const std::optional<Call> shown = shown_by(ruling)) {
        if (shown == call)
            return {Outcome::call_stands, call, worded("The call stands: the footage shows the same.")};
        if (shown == Call::fail && !rules.may_worsen)
            return {Outcome::call_stands, call,
                    worded("The call stands: in this meet a review does not worsen a result.")};
        return {Outcome::call_changed, *shown,
                shown == Call::clear ? worded("The call is changed to clear: the footage shows it.")
                                     : worded("The call is changed to fail: the footage shows it.")};
    }
    if (rules.when_unshown == WhenUnshown::rerun)
        return {Outcome::rerun, call, worded("A re-run is granted: the footage does not show it.")};
    if (rules.when_unshown == WhenUnshown::athletes_favour && call == Call::fail)
        return {
            Outcome::call_changed, Call::clear,
            worded("The call is changed to clear: the footage does not show it, and in this meet the doubt "
                   "favours the athlete.")};
    return {Outcome::call_stands, call, worded("The call stands: the footage does not show it.")};
}

std::optional<Sentence> objection(const State& state, const Decision& decision) {
    const Appeal& appeal = state.appeals().at(decision.appeal);
    const AppealRules& rules = state.rules().appeals;
    if (appeal.status != AppealStatus::lodged)
        return appeal.status == AppealStatus::refused ? worded("The appeal was refused.")
                                                      : worded("The appeal was withdrawn.");
    const FloorCall* call = call_at(state, appeal.run, appeal.station);
    if (call == nullptr) return worded("No call was given at this station of the run.");
    const Effect effect = effect_of(rules, call->call, decision.ruling);
    if (decision.outcome != effect.outcome || decision.call != effect.call)
        return worded("Under the rules of the meet this ruling does something else. {}", effect.sentence);
    std::set<std::string> names;
    for (const Signature& signature : decision.signatures) {
        if (name_of_signer(signature).empty()) return worded("A signature has no name.");
        names.insert(name_of_signer(signature));
    }
    if (names.size() != decision.signatures.size()) return worded("One person has signed twice.");
    if (static_cast<std::int32_t>(names.size()) < rules.signatures)
        return worded("The meet asks for {}.", worded_n("{} signature", "{} signatures", rules.signatures));
    const std::string judge(base::trimmed(call->judge));
    const bool alone = names.size() == 1 && !judge.empty() && *names.begin() == judge;
    if (alone && !rules.judge_decides_alone)
        return worded("The judge who gave the call must not decide about it alone.");
    return std::nullopt;
}

std::vector<Waiting> waiting_appeals(const State& state) {
    std::set<AppealId> decided;
    for (const auto& [id, decision] : state.decisions())
        decided.insert(decision.appeal);
    std::vector<const Appeal*> open;
    for (const auto& [id, appeal] : state.appeals()) {
        if (appeal.status == AppealStatus::lodged && !decided.contains(id)) open.push_back(&appeal);
    }
    std::stable_sort(open.begin(), open.end(),
                     [](const Appeal* a, const Appeal* b) { return a->lodged_at < b->lodged_at; });
    std::vector<Waiting> waiting;
    for (const Appeal* appeal : open)
        waiting.push_back({appeal->id, deadline(state, state.runs().at(appeal->run))});
    return waiting;
}

const Decision* decision_on(const State& state, AppealId appeal) {
    const Decision* last = nullptr;
    for (const auto& [id, decision] : state.decisions()) {
        if (decision.appeal == appeal) last = &decision;
    }
    return last;
}

const FloorCall* call_at(const State& state, RunId run, const std::string& station) {
    const FloorCall* given = nullptr;
    for (const FloorCall& call : state.floor_calls_of(run)) {
        if (call.station == station) given = &call;
    }
    return given;
}

const char* capacity_words(Capacity capacity) {
    switch (capacity) {
        case Capacity::athlete:
            return base::to_translate("athlete");
        case Capacity::coach:
            return base::to_translate("coach");
        case Capacity::club:
            return base::to_translate("club");
        case Capacity::station_judge:
            return base::to_translate("station judge");
        case Capacity::head_judge:
            return base::to_translate("head judge");
        case Capacity::jury:
            return base::to_translate("jury");
    }
    return "";
}

}  // namespace plumbmark::meet
