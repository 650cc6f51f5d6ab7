#include "study/agreement.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"
#include "base/worded.h"
#include "study/internal/distributions.h"

namespace plumbmark::study {
namespace {

using base::worded;

constexpr std::int64_t kMostRated = 1'000'000'000;
/// Sums of squares of shares below this are rounding: one thing in 10^9 that falls otherwise makes 10^-18.
constexpr double kRounding = 1e-24;

base::Error bad_input(base::Sentence sentence) {
    return {base::Category::bad_input, std::move(sentence), {}};
}

std::optional<base::Error> wrong(const RatingTable& counts, double confidence) {
    if (counts.empty()) return bad_input(worded("The table of ratings has no category."));
    std::int64_t rated = 0;
    for (const auto& row : counts) {
        if (row.size() != counts.size())
            return bad_input(worded(
                "The table of ratings has {} rows and a row of {}: both raters need the same categories.",
                counts.size(), row.size()));
        for (const std::int64_t count : row) {
            if (count < 0) return bad_input(worded("The table of ratings has a count of {}.", count));
            if (count > kMostRated - rated)
                return bad_input(worded("The table of ratings has more than {} things.", kMostRated));
            rated += count;
        }
    }
    if (!(confidence > 0 && confidence < 1))
        return bad_input(worded("The confidence must lie between 0 and 1, as 0.95 does."));
    return std::nullopt;
}

double weight(Weights weights, std::size_t i, std::size_t j, std::size_t categories) {
    if (i == j) return 1;
    if (weights == Weights::none) return 0;
    const auto apart = static_cast<double>(i > j ? i - j : j - i) / static_cast<double>(categories - 1);
    return 1 - (weights == Weights::linear ? apart : apart * apart);
}

/// A table of ratings as shares, with what every figure of it needs.
class Shares {
  public:
    Shares(const RatingTable& counts, std::int64_t rated, Weights weights)
        : counts_(counts), rated_(static_cast<double>(rated)), weights_(weights), size_(counts.size()) {
        of_row_.assign(size_, 0);
        of_column_.assign(size_, 0);
        each([&](std::size_t i, std::size_t j) {
            of_row_[i] += static_cast<double>(counts_[i][j]);
            of_column_[j] += static_cast<double>(counts_[i][j]);
        });
        for (std::size_t i = 0; i < size_; ++i) {
            always_alike_ = always_alike_ || (of_row_[i] == rated_ && of_column_[i] == rated_);
            of_row_[i] /= rated_;
            of_column_[i] /= rated_;
        }
        mean_of_row_.assign(size_, 0);
        mean_of_column_.assign(size_, 0);
        each([&](std::size_t i, std::size_t j) {
            mean_of_row_[i] += of_column_[j] * w(i, j);
            mean_of_column_[j] += of_row_[i] * w(i, j);
            agreement_ += share(i, j) * w(i, j);
        });
        for (std::size_t i = 0; i < size_; ++i)
            by_chance_ += of_row_[i] * mean_of_row_[i];
    }

    [[nodiscard]] double agreement() const { return agreement_; }
    [[nodiscard]] double by_chance() const { return by_chance_; }
    /// Told by the counts themselves: 1 - by_chance would be rounded.
    [[nodiscard]] bool always_alike() const { return always_alike_; }

    /// As Fleiss, Cohen and Everitt have it, but with what they take off at the end (the square of the mean)
    /// taken off within the sum, where nothing is lost.
    [[nodiscard]] double error() const {
        const double left = 1 - by_chance_;
        const double missed = 1 - agreement_;
        const double mean = agreement_ * left - 2 * by_chance_ * missed;
        double sum = 0;
        each([&](std::size_t i, std::size_t j) {
            const double term = w(i, j) * left - (mean_of_row_[i] + mean_of_column_[j]) * missed - mean;
            sum += share(i, j) * term * term;
        });
        return std::sqrt(sum / rated_) / (left * left);
    }

    /// Theirs for a kappa of 0, likewise; nothing where it is 0.
    [[nodiscard]] std::optional<double> error_at_zero() const {
        double sum = 0;
        each([&](std::size_t i, std::size_t j) {
            const double term = w(i, j) - mean_of_row_[i] - mean_of_column_[j] + by_chance_;
            sum += of_row_[i] * of_column_[j] * term * term;
        });
        if (sum < kRounding) return std::nullopt;
        return std::sqrt(sum / rated_) / (1 - by_chance_);
    }

  private:
    template <class Do>
    void each(const Do& act) const {
        for (std::size_t i = 0; i < size_; ++i) {
            for (std::size_t j = 0; j < size_; ++j)
                act(i, j);
        }
    }
    [[nodiscard]] double w(std::size_t i, std::size_t j) const { return weight(weights_, i, j, size_); }
    [[nodiscard]] double share(std::size_t i, std::size_t j) const {
        return static_cast<double>(counts_[i][j]) / rated_;
    }

    const RatingTable& counts_;
    double rated_;
    Weights weights_;
    std::size_t size_;
    bool always_alike_ = false;
    std::vector<double> of_row_, of_column_;            ///< shares of the categories
    std::vector<double> mean_of_row_, mean_of_column_;  ///< mean weights by the other rater's shares
    double agreement_ = 0, by_chance_ = 0;
};

/// Of sorted numbers, at least one.
double median_of(const std::vector<std::int64_t>& sorted) {
    const std::size_t half = sorted.size() / 2;
    const auto upper = static_cast<double>(sorted[half]);
    return sorted.size() % 2 == 1 ? upper : (static_cast<double>(sorted[half - 1]) + upper) / 2;
}

void add_spread(MomentAgreement& result, const std::vector<std::int64_t>& differences) {
    const auto n = static_cast<double>(differences.size());
    double sum = 0;
    for (const std::int64_t difference : differences)
        sum += static_cast<double>(difference);
    const double mean = sum / n;
    result.mean = mean;
    if (differences.size() < 2) return;
    double squares = 0;
    for (const std::int64_t difference : differences)
        squares += (static_cast<double>(difference) - mean) * (static_cast<double>(difference) - mean);
    const double standard = std::sqrt(squares / (n - 1));
    const double reach = two_sided_z(0.95) * standard;
    result.standard = standard;
    result.limits = Interval{mean - reach, mean + reach};
    result.limit_error = standard * std::sqrt(3 / n);
}

void check_moment(const std::optional<std::int64_t>& moment) {
    constexpr std::int64_t kFarthest = std::int64_t{1} << 61U;
    PLUMBMARK_CHECK(!moment || (*moment >= -kFarthest && *moment <= kFarthest));
}

}  // namespace

base::Result<Kappa> kappa(const RatingTable& counts, Weights weights, double confidence) {
    if (const auto error = wrong(counts, confidence)) return *error;
    Kappa result;
    result.confidence = confidence;
    for (const auto& row : counts) {
        for (const std::int64_t count : row)
            result.rated += count;
    }
    if (result.rated == 0) return result;

    const Shares shares(counts, result.rated, weights);
    result.agreement = shares.agreement();
    result.by_chance = shares.by_chance();
    if (shares.always_alike()) return result;
    const double value = (shares.agreement() - shares.by_chance()) / (1 - shares.by_chance());
    result.kappa = value;
    result.error = shares.error();
    const double reach = two_sided_z(confidence) * *result.error;
    result.interval = Interval{std::max(value - reach, -1.0), std::min(value + reach, 1.0)};
    result.error_at_zero = shares.error_at_zero();
    if (result.error_at_zero) result.z = value / *result.error_at_zero;
    return result;
}

MomentAgreement agreement_of_moments(const std::vector<MomentPair>& pairs, std::int64_t tolerance) {
    PLUMBMARK_CHECK(tolerance >= 0);
    MomentAgreement result;
    std::vector<std::int64_t> differences;
    for (const MomentPair& pair : pairs) {
        check_moment(pair.first);
        check_moment(pair.second);
        if (!pair.first || !pair.second) {
            ++(pair.first ? result.only_first : pair.second ? result.only_second : result.neither);
            continue;
        }
        const std::int64_t difference = *pair.second - *pair.first;
        if (difference <= tolerance && difference >= -tolerance) ++result.within;
        differences.push_back(difference);
    }
    result.paired = static_cast<std::int64_t>(differences.size());
    if (differences.empty()) return result;
    std::sort(differences.begin(), differences.end());
    result.median = median_of(differences);
    result.share_within = static_cast<double>(result.within) / static_cast<double>(result.paired);
    add_spread(result, differences);
    return result;
}

std::int64_t frames_as_tolerance(std::int64_t frames, base::Rational frame_seconds) {
    PLUMBMARK_CHECK(frames >= 0 && frame_seconds.num > 0 && frame_seconds.den > 0);
    // Rounded down on the other side of zero.
    return -base::floor_to_time(-frames, frame_seconds).ns;
}

}  // namespace plumbmark::study
