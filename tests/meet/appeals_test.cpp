// Appeals: who, until when, how often; what a ruling does to a call; who may sign.
#include "meet/appeals.h"

#include "meet/meet_maker.h"

using namespace plumbmark;
using namespace plumbmark::meet;
using plumbmark::test::MeetMaker;
using ruling::Verdict;

namespace {

constexpr std::int64_t kMinute = 60'000;
constexpr std::int64_t kNoon = 12 * 60 * kMinute;

std::vector<RefusalKind> kinds(const std::vector<Refusal>& refusals) {
    std::vector<RefusalKind> result;
    for (const Refusal& refusal : refusals)
        result.push_back(refusal.kind);
    return result;
}

// A meet with one run that failed on the swing, announced at noon.
struct Announced {
    MeetMaker meet;
    RunId run;
    Appeal appeal;

    Announced() {
        const EntryId entry = meet.enter(17);
        run = meet.run(entry, "cff");
        Publication publication{{1}, {1}, {1}, {kNoon}, false, {}, ""};
        publication.lines.push_back({entry, 1, EntryStatus::entered, 1, 0, "9.80"});
        meet.add(publication);
        // A later announcement does not begin the time anew.
        publication.id = {2};
        publication.at = {kNoon + 20 * kMinute};
        meet.add(publication);
        appeal = {{1},   run, "swing", "the foot was on the deck", "Ann", Capacity::coach, {kNoon},
                  false, {},  ""};
    }
    void rules(const AppealRules& appeals) {
        Rules rules;
        rules.appeals = appeals;
        meet.rules(rules);
    }
};

}  // namespace

TEST_CASE("an appeal in time, by one who may, is to be heard") {
    Announced its;
    CHECK(refusals(its.meet.state, its.appeal).empty());
    its.appeal.lodged_at = {kNoon + 30 * kMinute};  // to the instant
    CHECK(refusals(its.meet.state, its.appeal).empty());
}

TEST_CASE("every reason to refuse an appeal is given") {
    Announced its;
    AppealRules rules;
    rules.who = {Capacity::athlete, Capacity::club};
    rules.fee = "20 EUR";
    rules.most = 1;
    its.rules(rules);
    its.meet.appeal(its.run, "swing", kNoon);
    its.appeal.id = {2};
    its.appeal.lodged_at = {kNoon + 34 * kMinute};
    const auto found = refusals(its.meet.state, its.appeal, 120);
    CHECK(kinds(found) == std::vector<RefusalKind>{RefusalKind::late, RefusalKind::capacity, RefusalKind::fee,
                                                   RefusalKind::too_many, RefusalKind::again});
    CHECK(found[0].sentence == "The appeal came 4 minutes after the deadline, 14:30.");
    CHECK(found[1].sentence == "An appeal may be lodged by athlete or club, not by the coach.");
    CHECK(found[2].sentence == "The fee of 20 EUR is not paid.");
    CHECK(found[3].sentence == "The athlete has lodged 1 appeal already; the meet allows 1.");
}

TEST_CASE("a clear is not appealed against where a review may not worsen a result") {
    Announced its;
    its.appeal.station = "hop";
    CHECK(kinds(refusals(its.meet.state, its.appeal)) == std::vector<RefusalKind>{RefusalKind::no_gain});
    AppealRules rules;
    rules.may_worsen = true;
    its.rules(rules);
    CHECK(refusals(its.meet.state, its.appeal).empty());
    its.appeal.station = "net";
    CHECK(kinds(refusals(its.meet.state, its.appeal)) == std::vector<RefusalKind>{RefusalKind::no_call});
}

TEST_CASE("the time for appeals begins when the result is announced first, and not before") {
    Announced its;
    CHECK(deadline(its.meet.state, its.meet.state.runs().at(its.run)) == WallTime{kNoon + 30 * kMinute});
    const RunId other = its.meet.run(its.meet.enter(4), "f");
    CHECK_FALSE(deadline(its.meet.state, its.meet.state.runs().at(other)));
    AppealRules rules;
    rules.minutes = 0;
    its.rules(rules);
    CHECK_FALSE(deadline(its.meet.state, its.meet.state.runs().at(its.run)));
    its.appeal.lodged_at = {kNoon + 900 * kMinute};
    CHECK(refusals(its.meet.state, its.appeal).empty());
}

TEST_CASE("a ruling upholds a call, changes it, or leaves it as the meet says") {
    AppealRules rules;
    const auto effect = [&](Call call, Verdict verdict) {
        const Effect found = effect_of(rules, call, verdict);
        CHECK_FALSE(found.sentence.empty());
        return std::pair(found.outcome, found.call);
    };
    using Pair = std::pair<Outcome, Call>;
    const Pair stays_fail{Outcome::call_stands, Call::fail}, stays_clear{Outcome::call_stands, Call::clear};
    CHECK(effect(Call::fail, Verdict::fail) == stays_fail);
    CHECK(effect(Call::fail, Verdict::clear) == Pair{Outcome::call_changed, Call::clear});
    CHECK(effect(Call::fail, Verdict::not_shown) == stays_fail);
    CHECK(effect(Call::fail, Verdict::not_reached) == stays_fail);
    CHECK(effect(Call::clear, Verdict::clear) == stays_clear);
    CHECK(effect(Call::clear, Verdict::fail) == stays_clear);
    CHECK(effect(Call::clear, Verdict::not_shown) == stays_clear);
    rules.may_worsen = true;
    CHECK(effect(Call::clear, Verdict::fail) == Pair{Outcome::call_changed, Call::fail});
    CHECK(effect(Call::clear, Verdict::not_reached) == Pair{Outcome::call_changed, Call::fail});
    rules.when_unshown = WhenUnshown::athletes_favour;
    CHECK(effect(Call::fail, Verdict::not_shown) == Pair{Outcome::call_changed, Call::clear});
    CHECK(effect(Call::clear, Verdict::not_shown) == stays_clear);
    rules.when_unshown = WhenUnshown::rerun;
    CHECK(effect(Call::fail, Verdict::not_shown) == Pair{Outcome::rerun, Call::fail});
}

TEST_CASE("a decision follows from the ruling, and is signed by those who may") {
    Announced its;
    its.meet.add(its.appeal);
    Decision decision{{1}, {1}, Verdict::clear, Outcome::call_changed, Call::clear, "", {kNoon}, {}};
    const auto signed_by = [&](const std::vector<std::string>& names) {
        decision.signatures.clear();
        for (const std::string& name : names)
            decision.signatures.push_back({name, Capacity::head_judge});
        return objection(its.meet.state, decision).value_or("");
    };
    CHECK(signed_by({}) == "The meet asks for 1 signature.");
    CHECK(signed_by({"Ann"}).empty());
    CHECK(signed_by({" "}) == "A signature has no name.");
    CHECK(signed_by({"Ann", "Ann "}) == "One person has signed twice.");
    CHECK(signed_by({"judge at the swing"}) == "The judge who gave the call must not decide about it alone.");
    CHECK(signed_by({"judge at the swing", "Ann"}).empty());
    AppealRules rules;
    rules.signatures = 2;
    its.rules(rules);
    CHECK(signed_by({"Ann"}) == "The meet asks for 2 signatures.");
    CHECK(signed_by({"Ann", "Bea"}).empty());
    decision.outcome = Outcome::call_stands;
    CHECK(signed_by({"Ann", "Bea"}) ==
          "Under the rules of the meet this ruling does something else. The call is changed to clear: the "
          "footage shows it.");
    Appeal refused = its.appeal;
    refused.status = AppealStatus::refused;
    its.meet.change(its.appeal, refused);
    CHECK(signed_by({"Ann", "Bea"}) == "The appeal was refused.");
}

TEST_CASE("the queue holds what is not decided, by the time it was lodged") {
    Announced its;
    const AppealId later = its.meet.appeal(its.run, "swing", kNoon + 2);
    const AppealId sooner = its.meet.appeal(its.run, "rungs", kNoon + 1);
    const auto queue = [&] {
        std::vector<AppealId> ids;
        for (const Waiting& waiting : waiting_appeals(its.meet.state)) {
            CHECK(waiting.deadline == WallTime{kNoon + 30 * kMinute});
            ids.push_back(waiting.appeal);
        }
        return ids;
    };
    CHECK(queue() == std::vector<AppealId>{sooner, later});
    its.meet.decide(sooner, Outcome::call_stands, Call::fail);
    CHECK(queue() == std::vector<AppealId>{later});
    CHECK(decision_on(its.meet.state, sooner) != nullptr);
    CHECK(decision_on(its.meet.state, later) == nullptr);
}
