#include "study/rates.h"

#include <cmath>

#include "base/worded.h"
#include "study/internal/distributions.h"

namespace plumbmark::study {
namespace {

using base::worded;

constexpr std::int64_t kFewForRuleOfThree = 30;
constexpr double kConfidenceOfRuleOfThree = 0.95;

base::Error bad_input(base::Sentence sentence) {
    return {base::Category::bad_input, std::move(sentence), {}};
}

/// The negations are also true of what is no number.
std::optional<base::Error> wrong(Count count, double confidence) {
    if (count.trials < 0 || count.trials > kMostTrials)
        return bad_input(
            worded("The number of trials is {}; it must be between 0 and {}.", count.trials, kMostTrials));
    if (count.happened < 0 || count.happened > count.trials)
        return bad_input(
            worded("It cannot have happened {} times in {} trials.", count.happened, count.trials));
    if (!(confidence > 0 && confidence < 1))
        return bad_input(worded("The confidence must lie between 0 and 1, as 0.95 does."));
    return std::nullopt;
}

/// The root of the quadratic equation that does not take a small number from a large one.
double wilson_low(double happened, double not_happened, double z) {
    const double trials = happened + not_happened;
    const double share = happened / trials;
    const double c = z * z / trials;
    return 2 * share * share / (2 * share + c + std::sqrt(c * (4 * share * (not_happened / trials) + c)));
}

Interval wilson_of(Count count, double z) {
    const auto happened = static_cast<double>(count.happened);
    const auto not_happened = static_cast<double>(count.trials - count.happened);
    return {wilson_low(happened, not_happened, z), 1 - wilson_low(not_happened, happened, z)};
}

Interval clopper_pearson_of(Count count, double half_alpha) {
    const auto happened = static_cast<double>(count.happened);
    const auto not_happened = static_cast<double>(count.trials - count.happened);
    return {count.happened == 0 ? 0 : beta_quantile(happened, not_happened + 1, half_alpha),
            count.happened == count.trials ? 1 : beta_quantile_above(happened + 1, not_happened, half_alpha)};
}

/// One of the two intervals, with what does not depend on the count reckoned once.
class Intervals {
  public:
    Intervals(Method method, double confidence)
        : method_(method), half_alpha_((1 - confidence) / 2), z_(two_sided_z(confidence)) {}

    [[nodiscard]] Interval of(Count count) const {
        if (count.trials == 0) return {0, 1};
        return method_ == Method::wilson ? wilson_of(count, z_) : clopper_pearson_of(count, half_alpha_);
    }

  private:
    Method method_;
    double half_alpha_, z_;
};

bool reached(const Interval& interval, const Wanted& wanted) {
    return wanted.aim == Aim::lower_end_at_least ? interval.low >= wanted.figure
                                                 : interval.width() <= wanted.figure;
}

Count after(Count so_far, std::int64_t further, Outlook outlook) {
    const std::int64_t trials = so_far.trials + further;
    // At most 10^9 times 10^9 + 10^5: within 64 bits.
    return {
        outlook == Outlook::all_happen ? so_far.happened + further : so_far.happened * trials / so_far.trials,
        trials};
}

}  // namespace

base::Result<Rate> rate(Count count, double confidence) {
    if (const auto error = wrong(count, confidence)) return *error;
    Rate rate{count, confidence, std::nullopt, {0, 1}, {0, 1}};
    if (count.trials == 0) return rate;
    rate.share = static_cast<double>(count.happened) / static_cast<double>(count.trials);
    rate.wilson = Intervals(Method::wilson, confidence).of(count);
    rate.clopper_pearson = Intervals(Method::clopper_pearson, confidence).of(count);
    return rate;
}

base::Result<NoneSeen> none_seen(std::int64_t trials, double confidence) {
    if (const auto error = wrong({0, trials}, confidence)) return *error;
    NoneSeen none{trials, confidence, 1, std::nullopt};
    if (trials == 0) return none;
    const auto n = static_cast<double>(trials);
    none.allowed = -std::expm1(std::log1p(-confidence) / n);
    if (trials > kFewForRuleOfThree && confidence == kConfidenceOfRuleOfThree) none.rule_of_three = 3 / n;
    return none;
}

base::Result<FurtherTrials> further_trials(Count so_far, const Wanted& wanted) {
    if (const auto error = wrong(so_far, wanted.confidence)) return *error;
    if (!(wanted.figure > 0 && wanted.figure < 1))
        return bad_input(worded("The figure to be reached must lie between 0 and 1, as 0.9 does."));
    if (wanted.limit < 0 || wanted.limit > kMostFurther)
        return bad_input(
            worded("At most {} further trials are looked through, not {}.", kMostFurther, wanted.limit));

    FurtherTrials result;
    if (so_far.trials == 0 && wanted.outlook == Outlook::as_so_far) {
        result.found = FurtherTrials::Found::nothing_to_go_on;
        return result;
    }
    result.limit = wanted.limit;
    const Intervals intervals(wanted.method, wanted.confidence);
    for (std::int64_t further = 0; further <= wanted.limit; ++further) {
        const Count then = after(so_far, further, wanted.outlook);
        const Interval interval = intervals.of(then);
        if (reached(interval, wanted))
            return FurtherTrials{FurtherTrials::Found::yes, further, wanted.limit, then, interval};
    }
    return result;
}

}  // namespace plumbmark::study
