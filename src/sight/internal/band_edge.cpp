#include "sight/internal/band_edge.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace plumbmark::sight {
namespace {

/// Half the height of an edge is told apart from this much more or less at best: half the light is not half
/// the code value. Of a curve with the exponent 1/2.2 it is at 0.60 where a flash makes a row five times as
/// bright.
constexpr double kHalfIsWithin = 0.15;
constexpr double kMostWithin = 0.45;
constexpr double kSigmas = 4;
/// Rows outside that are brighter than this share of those inside are lit too, only that what is seen there
/// (a far wall) gives little of it back; but encoders do not keep levels to less than half a code value.
constexpr double kStillDark = 0.01;
constexpr double kKept = 0.5;
constexpr double kRises = 1.4;
constexpr int kLevelRows = 4;

/// One edge, seen from the dark side: rows before it are dark.
class Edge {
  public:
    Edge(std::vector<float> rows, int first, int past, const LitBand& band, RowsQuestion across_width)
        : rows_(std::move(rows)),
          across_width_(std::move(across_width)),
          first_(first),
          past_(past),
          deep_(std::clamp(static_cast<int>(rows_.size()) / 16, 12, 80)),
          noise_(band.noise),
          least_(band.least) {}

    std::optional<RowEdge> find() {
        dark_ = level(first_ - 4 * deep_, first_ - deep_, 0);
        if (!find_toe_and_inside() || levels_off()) return std::nullopt;
        // Closer to the edge, where the rows are lit as the edge's own.
        dark_ = level(toe_ - deep_, toe_, dark_);
        if (dark_ > std::max({6 * noise_, kStillDark * inside_, kKept})) return std::nullopt;
        return between(half_is_within());
    }

  private:
    [[nodiscard]] double at(int row) const {
        return static_cast<double>(rows_[static_cast<std::size_t>(row)]);
    }

    /// The middle one of these rows; 'otherwise' where there are too few.
    [[nodiscard]] double level(int from, int to, double otherwise) const {
        from = std::max(from, 0);
        to = std::min(to, static_cast<int>(rows_.size()));
        if (to - from < kLevelRows) return otherwise;
        return static_cast<double>(middle_of({rows_.begin() + from, rows_.begin() + to}));
    }

    bool find_toe_and_inside() {
        inside_ = level(first_, std::min(first_ + deep_, past_), least_);
        const double hardly = dark_ + std::max(kSigmas * noise_, 0.02 * (inside_ - dark_));
        toe_ = first_;
        while (toe_ > 0 && at(toe_ - 1) > hardly)
            --toe_;
        // The rise is about as long above its half as below; its half follows from the level that follows
        // from its half.
        for (int again = 0; again < 2; ++again) {
            half_ = toe_;
            while (half_ < past_ && at(half_) < (dark_ + inside_) / 2)
                ++half_;
            top_ = 2 * half_ - toe_ + 1;
            if (past_ - top_ < kLevelRows) return false;
            inside_ = level(top_, std::min(top_ + deep_, past_), inside_);
        }
        return inside_ > dark_ + least_ / 2;
    }

    /// Light that comes or dies away goes on rising to its half: its second half of the way there is about
    /// three times as bright as its first. What stays as it is over many rows, and over the width, is lit and
    /// gives little back.
    [[nodiscard]] bool levels_off() const {
        const int middle = (toe_ + half_) / 2;
        if (middle - toe_ < kLevelRows) return false;
        if (level(middle, half_, 0) - dark_ > kRises * (level(toe_, middle, 0) - dark_)) return false;
        return across_width_(toe_, middle);
    }

    /// By how much of the edge's height its half may be another: by the level's change on the way inwards,
    /// and by noise and texture from row to row.
    [[nodiscard]] double half_is_within() const {
        const int end = std::min(top_ + deep_, past_), middle = (top_ + end) / 2;
        const double height = inside_ - dark_;
        double by = kHalfIsWithin;
        if (middle - top_ >= kLevelRows)
            by += std::abs(level(top_, middle, inside_) - level(middle, end, inside_)) / (2 * height);
        std::vector<float> steps;
        for (int r = top_ + 1; r < end; ++r)
            steps.push_back(
                std::abs(rows_[static_cast<std::size_t>(r)] - rows_[static_cast<std::size_t>(r) - 1]));
        const double texture = kOfMedian / std::sqrt(2.0) * static_cast<double>(middle_of(std::move(steps)));
        by += kSigmas / 2 * std::max(texture, noise_) / height;
        return std::min(by, kMostWithin);
    }

    /// From the first row that may be half lit to the last one.
    [[nodiscard]] RowEdge between(double by) const {
        const double height = inside_ - dark_;
        int from = toe_, to = top_;
        while (from < top_ && at(from) < dark_ + (0.5 - by) * height)
            ++from;
        while (to > from && at(to - 1) > dark_ + (0.5 + by) * height)
            --to;
        // A row is lit or not as its own moment says: half a row either way.
        return {(from + to) / 2.0, (to - from) / 2.0 + 0.5};
    }

    const std::vector<float> rows_;
    const RowsQuestion across_width_;
    const int first_, past_, deep_;
    const double noise_, least_;
    double dark_ = 0, inside_ = 0;
    int toe_ = 0, half_ = 0, top_ = 0;  ///< the rise begins, is at its half and ends about here
};

}  // namespace

float middle_of(std::vector<float> values) {
    if (values.empty()) return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

std::optional<RowEdge> band_edge(const LitBand& band, bool rises) {
    if (rises) return Edge(band.excess, band.first, band.past, band, band.across_width).find();
    const int height = static_cast<int>(band.excess.size());
    auto edge =
        Edge({band.excess.rbegin(), band.excess.rend()}, height - band.past, height - band.first, band,
             [&](int first, int past) { return band.across_width(height - past, height - first); })
            .find();
    if (edge) edge->at = height - edge->at;
    return edge;
}

}  // namespace plumbmark::sight
