#include "follow/internal/patch_fit.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

namespace plumbmark::follow {
namespace {

constexpr double kWindow = 5;     ///< standard deviation of a patch's weight
constexpr double kMiddle = 2.5;   ///< and of the weight by which it is told whether the point is still seen
constexpr int kRounds = 25;       ///< of a fit, at most
constexpr double kEnough = 1e-3;  ///< a step that moves the patch no further is the last
constexpr double kTukey = 6;      ///< in robust standard deviations
/// What the biweight makes of normal noise: E psi^2 / (E psi')^2, over the variance E w r^2 / E w as it is
/// taken below.
constexpr double kWeighed = 1.142;
constexpr double kLeastResidual = 0.25;  ///< code values: rounding to whole ones leaves as much
constexpr double kHeld = 3;  ///< standard deviation by which a fit is held to its start: where nothing shows
constexpr double kHeldBend = 0.1;  ///< and its linear part
constexpr double kBend = 0.5;      ///< what turning and leaning do beforehand, standard deviation
constexpr double kUnbent = 1e-6;   ///< where it does neither
constexpr double kSampled = 0.1;   ///< how much more alike so few pixels may look by chance
constexpr double kFloor = 0.01;    ///< of interpolation and rounding, each way
constexpr double kClear = 1;       ///< detail that is less than this much of what noise makes is none
constexpr int kLags = 4;           ///< how far apart two pixels' noise may go together
constexpr double kLongest = 2.5;   ///< most smoothing that what is left over is taken to have had
constexpr double kInside = 0.6;    ///< least share of the patch's weight that lies in the picture

constexpr int kSide = 2 * kPatchRadius + 1;
constexpr std::size_t kPixels = static_cast<std::size_t>(kSide) * kSide;

using Vector = cv::Matx<double, 8, 1>;
using Square = cv::Matx<double, 8, 8>;
// The eight numbers: shift x and y; the linear part by rows, as a change in units of the patch's radius;
// contrast; level.
constexpr int kLinear = 2, kGain = 6, kLift = 7;

double bell(const cv::Point2d& from, double width) {
    return std::exp(-from.dot(from) / (2 * width * width));
}

/// The kernel of a Gaussian and of its slope.
std::pair<cv::Mat, cv::Mat> gaussian() {
    constexpr int kHalf = 5;
    cv::Mat smooth(2 * kHalf + 1, 1, CV_64F), slope(2 * kHalf + 1, 1, CV_64F);
    double sum = 0, moment = 0;
    for (int i = -kHalf; i <= kHalf; ++i) {
        const double value = std::exp(-i * i / (2 * kSmooth * kSmooth));
        smooth.at<double>(i + kHalf) = value;
        slope.at<double>(i + kHalf) = i * value;
        sum += value;
        moment += i * i * value;
    }
    return {smooth / sum, slope / moment};
}

std::array<double, 4> cubic(double t) {
    return {((-0.5 * t + 1) * t - 0.5) * t, (1.5 * t - 2.5) * t * t + 1, ((-1.5 * t + 2) * t + 0.5) * t,
            (0.5 * t - 0.5) * t * t};
}

}  // namespace

cv::Point nearest_pixel(const cv::Point2d& at) {
    return {cvRound(at.x), cvRound(at.y)};
}

cv::Mat square_of(const cv::Mat& picture, const cv::Point& middle, int half) {
    const cv::Rect wanted(middle.x - half, middle.y - half, 2 * half + 1, 2 * half + 1);
    const cv::Rect there = wanted & cv::Rect({0, 0}, picture.size());
    if (there.area() == 0) return cv::Mat::zeros(wanted.size(), picture.type());
    cv::Mat square;
    cv::copyMakeBorder(picture(there), square, there.y - wanted.y, wanted.br().y - there.br().y,
                       there.x - wanted.x, wanted.br().x - there.br().x,
                       cv::BORDER_REPLICATE | cv::BORDER_ISOLATED);
    return square;
}

Surface::Surface(const cv::Mat& picture, const cv::Point2d& around, int half)
    : corner_(nearest_pixel(around) - cv::Point(half, half)), size_(picture.size()) {
    const cv::Mat square = square_of(picture, nearest_pixel(around), half);
    const auto [smooth, slope] = gaussian();
    cv::sepFilter2D(square, values_, CV_64F, smooth, smooth, {-1, -1}, 0, cv::BORDER_REPLICATE);
    cv::sepFilter2D(square, along_x_, CV_64F, slope, smooth, {-1, -1}, 0, cv::BORDER_REPLICATE);
    cv::sepFilter2D(square, along_y_, CV_64F, smooth, slope, {-1, -1}, 0, cv::BORDER_REPLICATE);
}

bool Surface::in_picture(const cv::Point2d& at) const {
    return at.x >= -0.5 && at.y >= -0.5 && at.x < size_.width - 0.5 && at.y < size_.height - 0.5;
}

std::optional<double> Surface::sampled(const cv::Mat& values, const cv::Point2d& place) const {
    const double x = place.x - corner_.x, y = place.y - corner_.y;
    const int left = static_cast<int>(std::floor(x)), top = static_cast<int>(std::floor(y));
    if (!in_picture(place) || left < 1 || top < 1 || left + 2 >= values.cols || top + 2 >= values.rows)
        return std::nullopt;
    const std::array<double, 4> across = cubic(x - left), down = cubic(y - top);
    double sum = 0;
    for (int row = 0; row < 4; ++row) {
        const double* value = values.ptr<double>(top - 1 + row) + left - 1;
        sum += down[static_cast<std::size_t>(row)] *
               (across[0] * value[0] + across[1] * value[1] + across[2] * value[2] + across[3] * value[3]);
    }
    return sum;
}

std::optional<double> Surface::at(const cv::Point2d& place) const {
    return sampled(values_, place);
}

cv::Vec2d Surface::slope(const cv::Point2d& place) const {
    return {sampled(along_x_, place).value_or(0), sampled(along_y_, place).value_or(0)};
}

Patch::Patch(const Surface& surface, const cv::Point2d& middle) : pixels(kPixels) {
    double sum = 0;
    for (int i = 0; i < static_cast<int>(kPixels); ++i) {
        Pixel& pixel = pixels[static_cast<std::size_t>(i)];
        pixel.from = {static_cast<double>(i % kSide - kPatchRadius),
                      static_cast<double>(i / kSide - kPatchRadius)};
        const auto value = surface.at(middle + pixel.from);
        if (!value) continue;
        pixel.value = *value;
        pixel.slope = surface.slope(middle + pixel.from);
        pixel.weight = bell(pixel.from, kWindow);
        sum += pixel.weight;
        level += pixel.weight * *value;
    }
    if (sum <= 0) return;
    level /= sum;
    for (Pixel& pixel : pixels) {
        pixel.value -= level;
        contrast += pixel.weight * pixel.value * pixel.value;
    }
    contrast = std::sqrt(contrast / sum);
}

std::array<double, 2> Patch::steepness() const {
    cv::Matx22d tensor;
    double sum = 0;
    for (const Pixel& pixel : pixels) {
        tensor += pixel.weight * pixel.slope * pixel.slope.t();
        sum += pixel.weight;
    }
    cv::Matx21d values;
    cv::eigen(tensor, values);
    if (sum <= 0) return {};
    return {values(0) / sum, values(1) / sum};
}

namespace {

/// One pixel of the patch where it is held to the picture.
struct Row {
    Vector change;  ///< of what is left over, with the eight numbers
    cv::Point2d from;
    double left_over = 0, weight = 0;
    bool seen = false;
};
using Rows = std::vector<Row>;  ///< row by row

Square normal_of(const Rows& rows) {
    Square normal;
    for (const Row& row : rows)
        if (row.weight > 0) normal += row.weight * row.change * row.change.t();
    return normal;
}

double variance_of(const Rows& rows) {
    double squares = 0, sum = 0;
    for (const Row& row : rows) {
        squares += row.weight * row.left_over * row.left_over;
        sum += row.weight;
    }
    return std::max(kLeastResidual * kLeastResidual, squares / sum);
}

/// How many pixels' worth of noise goes together where it was smoothed so much.
double together(double smooth) {
    return 4 * CV_PI * smooth * smooth;
}

/// What is known of the eight numbers without the picture, times the variance of what is left over.
Square prior(double variance, double place, double bend) {
    Square held;
    for (int i = 0; i < 2; ++i)
        held(i, i) = variance / (place * place);
    for (int i = kLinear; i < kGain; ++i)
        held(i, i) = variance / (bend * bend * kPatchRadius * kPatchRadius);
    held(kGain, kGain) = held(kLift, kLift) = 1e-9;
    return held;
}

class Fitting {
  public:
    Fitting(const Patch& patch, const Surface& surface, const Placed& start, bool bends)
        : patch_(patch), surface_(surface), start_(start), placed_(start), bends_(bends) {}

    PointLoss run() {
        for (int round = 0; round < kRounds; ++round) {
            if (!measure()) return PointLoss::out_of_picture;
            const double moved = step();
            if (!(cv::norm(placed_.at - start_.at) <= kFurthest) || !plausible()) return PointLoss::unlike;
            if (moved < kEnough) break;
        }
        return measure() ? PointLoss::none : PointLoss::out_of_picture;
    }

    [[nodiscard]] const Placed& placed() const { return placed_; }
    [[nodiscard]] const Rows& rows() const { return rows_; }

    /// What is left over near the patch's middle.
    [[nodiscard]] double middle() const {
        double squares = 0, sum = 0;
        for (std::size_t i = 0; i < kPixels; ++i) {
            if (!rows_[i].seen) continue;
            const double weight = bell(patch_.pixels[i].from, kMiddle);
            squares += weight * rows_[i].left_over * rows_[i].left_over;
            sum += weight;
        }
        return std::sqrt(squares / sum);
    }

  private:
    /// Not turned over, squeezed or far away.
    [[nodiscard]] bool plausible() const {
        const double area = cv::determinant(placed_.linear), size = cv::norm(placed_.linear);
        return area > 0.35 && area < 2.8 && size * size < 4 * area;
    }

    /// False where too much of the patch is out of the picture.
    bool measure() {
        double inside = 0, all = 0;
        for (std::size_t i = 0; i < kPixels; ++i) {
            const Patch::Pixel& pixel = patch_.pixels[i];
            Row& row = rows_[i];
            row.weight = 0;
            row.seen = false;
            all += bell(pixel.from, kWindow);
            const auto value = pixel.weight > 0 ? surface_.at(placed_(pixel.from)) : std::nullopt;
            if (!value) continue;
            inside += pixel.weight;
            row.weight = pixel.weight;
            row.seen = true;
            row.left_over = *value - placed_.gain * pixel.value - placed_.lift;
            row.from = pixel.from / kPatchRadius;
            const cv::Vec2d slope = placed_.gain * pixel.slope;
            row.change = Vector(slope[0], slope[1], slope[0] * row.from.x, slope[0] * row.from.y,
                                slope[1] * row.from.x, slope[1] * row.from.y, pixel.value, 1);
        }
        if (!surface_.in_picture(placed_.at) || inside < kInside * all) return false;
        weigh_down();
        return true;
    }

    /// What disagrees counts little or nothing: the scene behind a limb, and what begins to cover it.
    void weigh_down() {
        std::vector<std::pair<double, double>> sizes;
        double half = 0;
        for (const Row& row : rows_) {
            if (row.weight <= 0) continue;
            sizes.emplace_back(std::abs(row.left_over), row.weight);
            half += row.weight / 2;
        }
        std::sort(sizes.begin(), sizes.end());
        double below = 0, median = 0;
        for (const auto& [size, weight] : sizes) {
            below += weight;
            median = size;
            if (below >= half) break;
        }
        const double limit = kTukey * std::max(kLeastResidual, 1.4826 * median);
        for (Row& row : rows_) {
            const double part = row.left_over / limit;
            row.weight *= std::abs(part) < 1 ? (1 - part * part) * (1 - part * part) : 0;
        }
    }

    /// How far the patch moved.
    double step() {
        Vector right;
        for (const Row& row : rows_)
            if (row.weight > 0) right += row.weight * row.left_over * row.change;
        const double variance = variance_of(rows_) * together(kSmooth);
        const Square held = prior(variance, kHeld, bends_ ? kHeldBend : kUnbent);
        right(0) += held(0, 0) * (placed_.at.x - start_.at.x);
        right(1) += held(1, 1) * (placed_.at.y - start_.at.y);
        const cv::Matx22d bent = placed_.linear - start_.linear;
        for (int i = 0; i < 4; ++i)
            right(kLinear + i) += held(kLinear + i, kLinear + i) * kPatchRadius * bent.val[i];
        Vector change;
        if (!cv::solve(normal_of(rows_) + held, right, change, cv::DECOMP_CHOLESKY)) return 0;
        return moved_by(change);
    }

    /// The change is one of the patch; its place in the picture takes it the other way round.
    double moved_by(const Vector& change) {
        const cv::Vec4d bend = cv::Vec4d(change(2), change(3), change(4), change(5)) / kPatchRadius;
        placed_.linear = placed_.linear * cv::Matx22d(1 + bend[0], bend[1], bend[2], 1 + bend[3]).inv();
        const cv::Vec2d shift = placed_.linear * cv::Vec2d(change(0), change(1));
        placed_.at -= cv::Point2d(shift);
        placed_.gain = std::clamp(placed_.gain + change(kGain), 0.1, 10.0);
        placed_.lift += change(kLift);
        return cv::norm(shift) + kPatchRadius * cv::norm(bend);
    }

    const Patch& patch_;
    const Surface& surface_;
    const Placed start_;
    Placed placed_;
    const bool bends_;
    Rows rows_ = Rows(kPixels);
};

/// How well a place is known by what is left over at it.
class Certainty {
  public:
    Certainty(const Rows& rows, const Placed& placed, const Beforehand& before)
        : rows_(rows), placed_(placed), before_(before) {
        const double plain = variance_of(rows_);
        smooth_ = std::clamp(smoothed(plain), kSmooth, kLongest);
        double sum = 0;
        for (const Row& row : rows_)
            sum += row.weight;
        normal_ = normal_of(rows_);
        scatter_ = scatter();
        held_ = prior(plain * together(smooth_), before.standard, before.bends ? kBend : kUnbent);
        // What the eight numbers took up of it is no longer left over.
        const double taken = cv::trace((normal_ + held_).inv(cv::DECOMP_CHOLESKY) * scatter_);
        variance_ = kWeighed * plain / std::max(0.4, 1 - taken / sum);
        // Both pictures' noise is left over, the patch's as bright as it is here.
        const double share = 1 / (1 + placed.gain * placed.gain);
        noise_ = share * variance_;
        slope_ = placed.gain * placed.gain * std::min(noise_, before.noise) / (2 * smooth_ * smooth_);
    }

    /// The patch's own share of what is left over.
    [[nodiscard]] double noise() const { return noise_; }

    /// Of the place, along the picture's axes. The other six numbers are solved for.
    [[nodiscard]] cv::Matx22d covariance() const {
        const cv::Matx<double, 6, 6> others = (normal_ + held_).get_minor<6, 6>(2, 2);
        const cv::Matx<double, 2, 6> solved =
            -(normal_.get_minor<2, 6>(0, 2) * others.inv(cv::DECOMP_CHOLESKY));
        cv::Matx<double, 2, 8> by;
        for (int i = 0; i < 2; ++i)
            for (int j = 0; j < 8; ++j)
                by(i, j) = j < 2 ? (i == j ? 1.0 : 0.0) : solved(i, j - 2);
        const cv::Matx22d clear = without_noise(by * (normal_ * by.t()), by * (of_noise() * by.t()));
        const cv::Matx22d scattered = variance_ * (by * (scatter_ * by.t()));
        cv::Matx22d known = clear * scattered.inv(cv::DECOMP_SVD) * clear;
        known += 1 / (before_.standard * before_.standard) * cv::Matx22d::eye();
        const cv::Matx22d own = with_direction(known.inv(cv::DECOMP_SVD));
        return placed_.linear * own * placed_.linear.t() + kFloor * kFloor * cv::Matx22d::eye();
    }

  private:
    [[nodiscard]] const Row& row(int x, int y) const {
        return rows_[static_cast<std::size_t>(y) * kSide + static_cast<std::size_t>(x)];
    }
    /// How alike noise at this distance is, where the picture was smoothed by a Gaussian.
    [[nodiscard]] double alike(int dx, int dy) const {
        return std::exp(-(dx * dx + dy * dy) / (4 * smooth_ * smooth_));
    }

    /// By how wide a Gaussian white noise would have been smoothed to be as alike at a distance of two.
    [[nodiscard]] double smoothed(double plain) const {
        double product = 0, weights = 0;
        for (int y = 0; y < kSide; ++y)
            for (int x = 0; x < kSide; ++x)
                for (const auto& [dx, dy] : {std::pair(2, 0), std::pair(0, 2)}) {
                    if (x + dx >= kSide || y + dy >= kSide) continue;
                    const double weight = std::sqrt(row(x, y).weight * row(x + dx, y + dy).weight);
                    product += weight * row(x, y).left_over * row(x + dx, y + dy).left_over;
                    weights += weight;
                }
        const double correlation = weights > 0 ? product / weights / plain - kSampled : 0;
        if (correlation <= 0.01) return kSmooth;
        return correlation >= 0.99 ? kLongest : std::sqrt(-1 / std::log(correlation));
    }

    /// The part of the normal matrix that the patch's own noise makes: its slopes are steeper by it.
    [[nodiscard]] Square of_noise() const {
        Square part;
        for (const Row& row : rows_) {
            if (row.weight <= 0) continue;
            const double by[3] = {1, row.from.x, row.from.y};
            for (int i = 0; i < 3; ++i)
                for (int j = 0; j < 3; ++j)
                    for (int axis = 0; axis < 2; ++axis)
                        part(column(i, axis), column(j, axis)) += row.weight * slope_ * by[i] * by[j];
        }
        return part;
    }
    /// Of what changes with slope x (0) or y (1): the shift, and the two of the linear part.
    static int column(int i, int axis) { return i == 0 ? axis : kLinear + 2 * axis + i - 1; }

    /// How the equations' right side scatters, as what is left over at neighbours goes together.
    [[nodiscard]] Square scatter() const {
        Square sum;
        for (int y = 0; y < kSide; ++y)
            for (int x = 0; x < kSide; ++x) {
                const double weight = row(x, y).weight;
                if (weight > 0) sum += weight * row(x, y).change * around(x, y).t();
            }
        return 0.5 * (sum + sum.t());
    }
    [[nodiscard]] Vector around(int x, int y) const {
        Vector sum;
        for (int v = std::max(0, y - kLags); v <= std::min(kSide - 1, y + kLags); ++v)
            for (int u = std::max(0, x - kLags); u <= std::min(kSide - 1, x + kLags); ++u)
                if (row(u, v).weight > 0) sum += row(u, v).weight * alike(u - x, v - y) * row(u, v).change;
        return sum;
    }

    /// The structure tensor less what noise makes of it; nothing along a direction in which little else is
    /// left.
    static cv::Matx22d without_noise(const cv::Matx22d& all, const cv::Matx22d& noisy) {
        cv::Matx21d values;
        cv::Matx22d directions;
        cv::eigen(all, values, directions);
        cv::Matx22d clear;
        for (int i = 0; i < 2; ++i) {
            const cv::Matx12d along = directions.row(i);
            const double noise = (along * noisy * along.t())(0);
            const double left = values(i) - noise;
            if (left > kClear * noise) clear += left * (along.t() * along);
        }
        return clear;
    }

    /// Noise turns the tensor a little: what is unknown along an edge is so by a part across it, too.
    [[nodiscard]] cv::Matx22d with_direction(cv::Matx22d covariance) const {
        cv::Matx21d values;
        cv::Matx22d directions;
        cv::eigen(covariance, values, directions);
        const cv::Matx12d across = directions.row(1);
        const double turned = values(1) * slope_ / variance_;
        covariance += values(0) * turned * (across.t() * across);
        return covariance;
    }

    const Rows& rows_;
    const Placed& placed_;
    const Beforehand before_;
    double variance_ = 0, smooth_ = kSmooth;
    double noise_ = 0;
    Square normal_, scatter_, held_;
    double slope_ = 0;  ///< variance of the patch's slopes by its noise
};

}  // namespace

Fitted fit_patch(const Patch& patch, const Surface& surface, const Placed& start, const Beforehand& before) {
    Fitting fitting(patch, surface, start, before.bends);
    Fitted fitted{fitting.run(), fitting.placed(), {}, 0, 0};
    if (fitted.loss != PointLoss::none) return fitted;
    const Certainty certainty(fitting.rows(), fitted.placed, before);
    fitted.middle = fitting.middle();
    fitted.noise = certainty.noise();
    fitted.covariance = certainty.covariance();
    return fitted;
}

}  // namespace plumbmark::follow
