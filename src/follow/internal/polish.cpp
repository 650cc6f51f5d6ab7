#include "follow/internal/polish.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace plumbmark::follow {
namespace {

using Row = cv::Matx<double, 1, 8>;
using Square = cv::Matx<double, 8, 8>;
using Column = cv::Matx<double, 8, 1>;

constexpr int kRounds = 12;
constexpr double kTukey = 4.685;        ///< 95 % as good as least squares where nothing disagrees
constexpr double kLeastScatter = 0.06;  ///< no corner is found better than this
constexpr double kFarWeight = 0.01;     ///< what is far must still hold the mapping's perspective
constexpr double kDeviation = 1.4826;   ///< of a normal distribution, from its median absolute deviation
constexpr double kNinetyFive = 2.448;   ///< radius that holds 95 % of a plane's normal distribution
constexpr double kLeastPoints = 8;
constexpr double kOtherThings = 12;  ///< a point that lies further off near the shape belongs to a body
constexpr double kLeastNearReach = 30;
constexpr double kAgreeingShare = 0.3;
/// What all points share, so that no scatter shows it: blur to one side, and windows that are filled anew the
/// further the picture was turned and shifted. Measured on pictures with known truth (docs/following.md).
constexpr double kWindowError = 0.15;
constexpr double kWindowErrorMoved = 0.0015;  ///< for each pixel that the place moved
constexpr double kEnough = 1e-4;              ///< a step that moves nothing further is the last, pixels
constexpr double kLeastNear = 4;              ///< points' worth of weight that say how it is near the shape

/// The eight numbers are sought about the middle of the points and at their size, or the sums lose their
/// digits (Hartley, 'In defence of the eight-point algorithm', 1997).
struct Frame {
    explicit Frame(const std::vector<Track>& tracks) {
        cv::Point2d sum_still, sum_picture;
        for (const Track& track : tracks) {
            sum_still += cv::Point2d(track.still);
            sum_picture += cv::Point2d(track.picture);
        }
        const auto count = static_cast<double>(tracks.size());
        still = sum_still / count;
        picture = sum_picture / count;
        for (const Track& track : tracks)
            size += cv::norm(cv::Point2d(track.still) - still) / count;
        size = std::max(size, 1.0);
    }
    [[nodiscard]] cv::Point2d from(const cv::Point2d& point) const { return (point - still) / size; }
    [[nodiscard]] cv::Point2d to(const cv::Point2d& point) const { return (point - picture) / size; }
    [[nodiscard]] cv::Matx33d inwards(const cv::Matx33d& mapping) const {
        const cv::Matx33d grow(size, 0, still.x, 0, size, still.y, 0, 0, 1);
        const cv::Matx33d shrink(1 / size, 0, -picture.x / size, 0, 1 / size, -picture.y / size, 0, 0, 1);
        const cv::Matx33d inner = shrink * mapping * grow;
        return inner * (1 / inner(2, 2));
    }
    [[nodiscard]] cv::Matx33d outwards(const cv::Matx33d& inner) const {
        const cv::Matx33d shrink(1 / size, 0, -still.x / size, 0, 1 / size, -still.y / size, 0, 0, 1);
        const cv::Matx33d grow(size, 0, picture.x, 0, size, picture.y, 0, 0, 1);
        return grow * inner * shrink;
    }
    cv::Point2d still, picture;
    double size = 0;
};

/// How the mapped point moves with the eight numbers, the ninth being one.
struct Derivative {
    Derivative(const cv::Matx33d& h, const cv::Point2d& p) {
        const double w = h(2, 0) * p.x + h(2, 1) * p.y + h(2, 2);
        at = {(h(0, 0) * p.x + h(0, 1) * p.y + h(0, 2)) / w, (h(1, 0) * p.x + h(1, 1) * p.y + h(1, 2)) / w};
        x = Row(p.x / w, p.y / w, 1 / w, 0, 0, 0, -at.x * p.x / w, -at.x * p.y / w);
        y = Row(0, 0, 0, p.x / w, p.y / w, 1 / w, -at.y * p.x / w, -at.y * p.y / w);
        in_front = w > 1e-6;
    }
    cv::Point2d at;
    Row x, y;
    bool in_front = false;
};

/// 'values' with 'weights': the value that half the weight lies below.
double median(std::vector<std::pair<double, double>> weighted) {
    std::sort(weighted.begin(), weighted.end());
    double sum = 0, below = 0;
    for (const auto& [value, weight] : weighted)
        sum += weight;
    for (const auto& [value, weight] : weighted) {
        below += weight;
        if (below >= sum / 2) return value;
    }
    return 0;
}

double distance_to(const cv::Rect2d& box, const cv::Point2d& point) {
    const double dx = std::max({box.x - point.x, 0.0, point.x - box.br().x});
    const double dy = std::max({box.y - point.y, 0.0, point.y - box.br().y});
    return std::hypot(dx, dy);
}

class Fitting {
  public:
    Fitting(const std::vector<Track>& tracks, const std::vector<cv::Point2f>& shape,
            std::optional<double> reach)
        : tracks_(tracks), shape_(shape), frame_(tracks), box_(box_of(shape)), near_only_(reach.has_value()) {
        for (const Track& track : tracks) {
            const double away = reach ? distance_to(box_, track.still) / *reach : 0;
            place_.push_back(std::max(kFarWeight, std::exp(-away * away / 2)));
        }
    }

    std::optional<Polished> run(const cv::Matx33d& start) {
        inner_ = frame_.inwards(start);
        if (near_only_ && !begin_near()) return std::nullopt;
        for (int round = 0; round < kRounds; ++round) {
            if (!measure() || !step()) return std::nullopt;
            if (moved_ < kEnough && round >= 3) break;
        }
        if (!measure()) return std::nullopt;
        return result();
    }

  private:
    static cv::Rect2d box_of(const std::vector<cv::Point2f>& shape) {
        cv::Point2f least = shape.front(), most = shape.front();
        for (const cv::Point2f& point : shape) {
            least = {std::min(least.x, point.x), std::min(least.y, point.y)};
            most = {std::max(most.x, point.x), std::max(most.y, point.y)};
        }
        return {cv::Point2d(least), cv::Point2d(most)};
    }

    /// Moves the start to where the points near the shape lie: from where the scene as a whole lies, robust
    /// steps would take them for the ones that disagree.
    bool begin_near() {
        if (!measure()) return false;
        std::vector<std::pair<double, double>> x, y;
        for (std::size_t i = 0; i < tracks_.size(); ++i) {
            if (cv::norm(residuals_[i]) > kOtherThings) continue;
            x.emplace_back(residuals_[i].x, place_[i]);
            y.emplace_back(residuals_[i].y, place_[i]);
        }
        const cv::Matx33d shift(1, 0, median(std::move(x)) / frame_.size, 0, 1,
                                median(std::move(y)) / frame_.size, 0, 0, 1);
        inner_ = shift * inner_;
        inner_ *= 1 / inner_(2, 2);
        return true;
    }

    /// Residuals, the scatter and each point's weight under the present mapping.
    bool measure() {
        residuals_.clear();
        std::vector<std::pair<double, double>> sizes;
        for (std::size_t i = 0; i < tracks_.size(); ++i) {
            const Derivative here(inner_, frame_.from(tracks_[i].still));
            if (!here.in_front) return false;
            const cv::Point2d off = (frame_.to(tracks_[i].picture) - here.at) * frame_.size;
            residuals_.push_back(off);
            sizes.emplace_back(std::abs(off.x), place_[i]);
            sizes.emplace_back(std::abs(off.y), place_[i]);
        }
        scatter_ = std::max(kLeastScatter, kDeviation * median(std::move(sizes)));
        weights_.clear();
        for (std::size_t i = 0; i < tracks_.size(); ++i) {
            const double far = cv::norm(residuals_[i]) / (kTukey * scatter_);
            const double agree = far < 1 ? (1 - far * far) * (1 - far * far) : 0;
            weights_.push_back(place_[i] * agree);
        }
        return true;
    }

    bool step() {
        Square normal = Square::zeros();
        Column right = Column::zeros();
        for (std::size_t i = 0; i < tracks_.size(); ++i) {
            if (weights_[i] <= 0) continue;
            const Derivative here(inner_, frame_.from(tracks_[i].still));
            normal += weights_[i] * (here.x.t() * here.x + here.y.t() * here.y);
            right +=
                weights_[i] / frame_.size * (here.x.t() * residuals_[i].x + here.y.t() * residuals_[i].y);
        }
        bool solved = false;
        const Square inverse = normal.inv(cv::DECOMP_CHOLESKY, &solved);
        if (!solved) return false;
        const Column move = inverse * right;
        moved_ = cv::norm(move) * frame_.size;
        for (int i = 0; i < 8; ++i)
            inner_(i / 3, i % 3) += move(i);
        return cv::checkRange(cv::Mat(inner_));
    }

    /// The covariance of the eight numbers; none where too few points hold them.
    [[nodiscard]] std::optional<Square> covariance() const {
        Square normal = Square::zeros(), spread = Square::zeros();
        double sum = 0, squares = 0;
        for (std::size_t i = 0; i < tracks_.size(); ++i) {
            if (weights_[i] <= 0) continue;
            const Derivative here(inner_, frame_.from(tracks_[i].still));
            const Square own = here.x.t() * here.x + here.y.t() * here.y;
            // A point that happens to lie well is not known to lie better than the others.
            const double off = std::max(residuals_[i].dot(residuals_[i]) / 2, scatter_ * scatter_ / 2);
            normal += weights_[i] * own;
            spread += weights_[i] * weights_[i] * off / (frame_.size * frame_.size) * own;
            sum += weights_[i];
            squares += weights_[i] * weights_[i];
        }
        const double points = squares > 0 ? sum * sum / squares : 0;
        bool solved = false;
        const Square inverse = normal.inv(cv::DECOMP_CHOLESKY, &solved);
        if (!solved || points < kLeastPoints) return std::nullopt;
        return inverse * spread * inverse * (points / (points - kLeastPoints / 2));
    }

    /// How far the points near a place lie to one side of the mapping: what a plane of its own would look
    /// like. Where enough of them lie where the mapping says, the others are bodies that stand there, and
    /// only the former count.
    [[nodiscard]] double leaning(const cv::Point2d& place) const {
        const double reach = std::max(0.15 * std::max(box_.width, box_.height), kLeastNearReach);
        std::vector<std::pair<double, double>> x, y, agreeing_x, agreeing_y;
        double sum = 0, squares = 0, agreeing = 0;
        for (std::size_t i = 0; i < tracks_.size(); ++i) {
            if (cv::norm(residuals_[i]) > kOtherThings) continue;
            const double away = cv::norm(cv::Point2d(tracks_[i].still) - place) / reach;
            const double weight = std::exp(-away * away / 2);
            if (weight < 0.05) continue;
            x.emplace_back(residuals_[i].x, weight);
            y.emplace_back(residuals_[i].y, weight);
            sum += weight;
            squares += weight * weight;
            if (weights_[i] <= 0) continue;
            agreeing_x.push_back(x.back());
            agreeing_y.push_back(y.back());
            agreeing += weight;
        }
        if (squares <= 0 || sum < kLeastNear) return 0;
        const bool bodies = agreeing >= kAgreeingShare * sum;
        const double lean = bodies ? std::hypot(median(std::move(agreeing_x)), median(std::move(agreeing_y)))
                                   : std::hypot(median(std::move(x)), median(std::move(y)));
        // A median of few points scatters by itself.
        const double chance = scatter_ * std::sqrt(2 * squares) / sum;
        return std::max(0.0, lean - chance);
    }

    [[nodiscard]] std::optional<Polished> result() const {
        const std::optional<Square> spread = covariance();
        if (!spread) return std::nullopt;
        Polished polished{frame_.outwards(inner_), scatter_, 0, 0};
        for (const double weight : weights_)
            polished.inliers += weight > 0 ? 1 : 0;
        for (const cv::Point2f& point : shape_) {
            const Derivative here(inner_, frame_.from(point));
            if (!here.in_front) return std::nullopt;
            const double xx = (here.x * *spread * here.x.t())(0), yy = (here.y * *spread * here.y.t())(0);
            const double xy = (here.x * *spread * here.y.t())(0);
            const double longest = (xx + yy) / 2 + std::hypot((xx - yy) / 2, xy);
            const double chance = kNinetyFive * std::sqrt(std::max(longest, 0.0)) * frame_.size;
            const double moved = cv::norm(here.at * frame_.size + frame_.picture - cv::Point2d(point));
            const double window = kWindowError + kWindowErrorMoved * moved;
            polished.error = std::max(polished.error, std::hypot(chance, leaning(point), window));
        }
        return polished;
    }

    const std::vector<Track>& tracks_;
    const std::vector<cv::Point2f>& shape_;
    const Frame frame_;
    const cv::Rect2d box_;
    const bool near_only_;
    std::vector<double> place_;  ///< each point's weight for where it lies
    cv::Matx33d inner_;
    std::vector<cv::Point2d> residuals_;
    std::vector<double> weights_;
    double scatter_ = 0;
    double moved_ = 0;
};

}  // namespace

std::optional<Polished> polish(const std::vector<Track>& tracks, const cv::Matx33d& start,
                               const std::vector<cv::Point2f>& shape, std::optional<double> reach) {
    if (tracks.size() < static_cast<std::size_t>(kLeastPoints) || shape.empty()) return std::nullopt;
    return Fitting(tracks, shape, reach).run(start);
}

}  // namespace plumbmark::follow
