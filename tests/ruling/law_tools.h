// What the law tests have in common: random reviews, changed in a way of which a law says what follows, and
// both ruled.
#pragma once

#include <rapidcheck.h>

#include <iostream>
#include <optional>
#include <string>

#include "oracle/random_case.h"
#include "ruling/ruling.h"

namespace plumbmark::test {

inline constexpr std::uint64_t kLawSeed = 1'991;
/// How many reviews each law is tried on; PLUMBMARK_LAW_REVIEWS says otherwise where many engines are tried
/// (tests/mutants).
[[nodiscard]] int reviews();

/// Tries the law on so many reviews, from a fixed seed that is printed; a failure prints its review.
template <class Testable>
[[nodiscard]] bool holds(const std::string& law, Testable&& testable, int tried = reviews()) {
    rc::detail::TestMetadata about;
    about.id = about.description = law;
    rc::detail::TestParams params;
    params.seed = kLawSeed;
    params.maxSuccess = tried;
    params.maxDiscardRatio = 20;
    std::cout << "seed " << kLawSeed << ": " << law << "\n";
    const auto result = rc::detail::checkTestable(std::forward<Testable>(testable), about, params);
    printResultMessage(result, std::cout);
    std::cout << "\n";
    return result.template is<rc::detail::SuccessResult>();
}

/// Within a property: a review, dice, a clip of the review.
[[nodiscard]] oracle::Case any_case();
[[nodiscard]] oracle::Dice any_dice();
[[nodiscard]] std::size_t any_clip(const oracle::Case& review);

[[nodiscard]] bool shown(ruling::Verdict verdict);

/// Rules without explanations: the laws speak of verdicts, clauses and results.
[[nodiscard]] base::Result<ruling::RunRuling> rule(const oracle::Case& one, std::int64_t drift = 50);

struct Pair {
    base::Result<ruling::RunRuling> before;
    base::Result<ruling::RunRuling> after;
};
/// Rules both; within a property, discards the case when one is too tangled.
[[nodiscard]] Pair rule_both(const oracle::Case& before, const oracle::Case& after, std::int64_t drift = 50);

/// Asserts that verdicts, clauses and results are alike; a refusal is alike to a refusal.
void expect_same(const oracle::Case& before, const oracle::Case& after);

/// Asserts that each world of the narrow ruling can be one of the wide ruling: what the wide one shows, the
/// narrow one shows too (or does not reach), its clauses and results are among the wide one's.
void expect_narrowed(const ruling::RunRuling& wide, const ruling::RunRuling& narrow);
/// The same where the change made the review say less: it must still have a world.
void expect_widened(const Pair& both);

/// The law that a change to a random review, made by change(dice, review), keeps what is shown where the
/// changed review has a world.
template <class Change>
[[nodiscard]] bool narrows(const std::string& law, Change&& change) {
    return holds(law, [&] {
        const oracle::Case before = any_case();
        oracle::Case after = before;
        oracle::Dice dice = any_dice();
        change(dice, after);
        const Pair both = rule_both(before, after);
        RC_PRE(both.before.ok() && both.after.ok());
        expect_narrowed(both.before.value(), both.after.value());
    });
}

/// The frame before (or after) this time, or none at the clip's end.
[[nodiscard]] std::optional<base::Time> frame_before(const ruling::ClipFacts& clip, base::Time t);
[[nodiscard]] std::optional<base::Time> frame_after(const ruling::ClipFacts& clip, base::Time t);

}  // namespace plumbmark::test
