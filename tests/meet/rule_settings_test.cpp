// The rules of a meet as settings.
#include "meet/rule_settings.h"

#include <catch2/catch.hpp>

using namespace plumbmark::meet;

TEST_CASE("every rule reads back as it is written") {
    const Rules usual;
    for (const RuleSetting& setting : rule_settings()) {
        Rules rules = usual;
        INFO(setting.name << " = " << setting.value(usual));
        CHECK(setting.set(rules, setting.value(usual)).ok());
        CHECK(rules == usual);
    }
}

TEST_CASE("each rule takes what it can be, and nothing else") {
    Rules rules;
    for (const char* good :
         {"order=points_then_time", "unit = 0.1", "rounding=down", "two_watches=mean", "rerun=better",
          "tie_break=round_before", "appeals.minutes=15", "appeals.who = coach, athlete,coach",
          "appeals.fee = 20 EUR", "appeals.most=3", "appeals.may_worsen=yes", "appeals.when_unshown=rerun",
          "appeals.signatures=2", "appeals.judge_decides_alone=yes"}) {
        INFO(good);
        CHECK(set_rule(rules, good).ok());
    }
    Rules expected;
    expected.order = Order::points_then_time;
    expected.times = {{100'000'000}, Rounding::down, TwoWatches::mean};
    expected.rerun = Rerun::better;
    expected.tie_break = TieBreak::round_before;
    expected.appeals = {15,  {Capacity::athlete, Capacity::coach}, "20 EUR", 3, true, WhenUnshown::rerun, 2,
                        true};
    CHECK(rules == expected);
    CHECK(set_rule(rules, "appeals.who=nobody").ok());
    CHECK(rules.appeals.who.empty());
}

TEST_CASE("what cannot stand there is refused, with what can, and nothing is set") {
    Rules rules;
    const auto refusal = [&](const char* text) {
        const auto done = set_rule(rules, text);
        REQUIRE_FALSE(done.ok());
        CHECK(rules == Rules{});
        return done.error().text();
    };
    CHECK(refusal("rounding=sideways") == "rounding: 'sideways' cannot stand here; up, down or nearest can.");
    CHECK(refusal("unit=0.02") == "unit: '0.02' cannot stand here; 0.001, 0.01, 0.1 or 1 can.");
    CHECK(refusal("appeals.signatures=3") ==
          "appeals.signatures: '3' cannot stand here; a number from 1 to 2 can.");
    CHECK(refusal("appeals.may_worsen=true") ==
          "appeals.may_worsen: 'true' cannot stand here; yes or no can.");
    CHECK(refusal("appeals.who=coach,parrot").find("'parrot' cannot stand here") != std::string::npos);
    CHECK(refusal("appeals.minute=3") ==
          "There is no rule 'appeals.minute'; did you mean 'appeals.minutes'?");
    CHECK(refusal("appeals.minutes") == "'appeals.minutes' should read NAME=VALUE.");
}
