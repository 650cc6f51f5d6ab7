// How often something happened, and what that says of how often it happens: k of n trials, alike and
// independent. An athlete who tries a thing again and again is neither for long; who reads these figures has
// to judge that.
//
// Two intervals stand side by side, both two-sided. Wilson's (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927)
// 209-212) holds the true share about as often as is stated, at some shares a little less often. That of C.
// J. Clopper and E. S. Pearson (Biometrika 26 (1934) 404-413) holds it at least as often, and is wider.
//
// Every figure is a share of one. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>

#include "base/result.h"
#include "study/interval.h"

namespace plumbmark::study {

/// No more trials than this are reckoned with.
inline constexpr std::int64_t kMostTrials = 1'000'000'000;

struct Count {
    std::int64_t happened = 0;  ///< 0 <= happened <= trials
    std::int64_t trials = 0;    ///< 0 .. kMostTrials
    friend bool operator==(const Count&, const Count&) = default;
};

struct Rate {
    Count count;
    double confidence = 0;        ///< of each interval
    std::optional<double> share;  ///< nothing of no trials
    /// Both are 0 to 1 of no trials: nothing is known. Where it never or always happened, one end of each is
    /// 0 or 1 exactly; the other keeps alpha/2 (alpha = 1 - confidence), as everywhere else, and does not
    /// become the end of a one-sided interval, which would be narrower.
    Interval wilson{0, 1}, clopper_pearson{0, 1};
    [[nodiscard]] bool known() const { return share.has_value(); }
};

/// Laws: each interval lies within 0 to 1, holds the share, moves up with 'happened', and is mirrored when
/// what happened and what did not change places. Errors: bad_input where the count is none or the confidence
/// is not between 0 and 1.
[[nodiscard]] base::Result<Rate> rate(Count count, double confidence);

/// What it still allows that in n trials something did not happen once.
struct NoneSeen {
    std::int64_t trials = 0;
    double confidence = 0;
    /// The largest share with which none in n has still the probability alpha: 1 - alpha^(1/n). One-sided,
    /// since nothing lies beneath none; so it is less than Rate's upper end. 1 of no trials.
    double allowed = 1;
    /// 3/n, the rule of thumb for a confidence of 0.95 (B. D. Jovanovic and P. S. Levy, Am. Stat. 51 (1997)
    /// 137-139; E. Eypasch and others, BMJ 311 (1995) 619-620). Only beside that confidence, and of more than
    /// 30 trials: of fewer it is too far off.
    std::optional<double> rule_of_three;
};
/// Errors: bad_input as those of 'rate'.
[[nodiscard]] base::Result<NoneSeen> none_seen(std::int64_t trials, double confidence);

enum class Method { wilson, clopper_pearson };
enum class Outlook {
    all_happen,  ///< every further trial is one in which it happens
    as_so_far,   ///< it goes on happening as often as so far, rounded down to whole trials
};
enum class Aim {
    lower_end_at_least,
    width_at_most,
};
struct Wanted {
    double confidence = 0.95;
    Method method = Method::wilson;
    Outlook outlook = Outlook::all_happen;
    Aim aim = Aim::lower_end_at_least;
    double figure = 0;            ///< between 0 and 1
    std::int64_t limit = 10'000;  ///< further trials that are looked through: 0 .. kMostFurther
};
inline constexpr std::int64_t kMostFurther = 100'000;

struct FurtherTrials {
    enum class Found {
        yes,
        none_within_limit,  ///< not with any number of further trials up to 'limit'
        nothing_to_go_on,   ///< as so far, and so far there is nothing
    };
    Found found = Found::none_within_limit;
    std::int64_t further = 0;  ///< where found: the least number, 0 where it is reached already
    std::int64_t limit = 0;    ///< as far as was looked
    Count then;                ///< where found
    Interval interval;         ///< where found: of the method that was wanted
};
/// Every number of further trials is looked at, from none on, since the ends do not move one way only: each
/// trial in which it does not happen moves them back. So with Outlook::as_so_far the figure may be lost again
/// with the next trial. Errors: bad_input as those of 'rate', and where figure or limit are out of range.
[[nodiscard]] base::Result<FurtherTrials> further_trials(Count so_far, const Wanted& wanted);

}  // namespace plumbmark::study
