#include "follow/point_track.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <opencv2/video/tracking.hpp>

#include "base/worded.h"
#include "follow/internal/one_thread.h"
#include "follow/internal/patch_fit.h"

namespace plumbmark::follow {
namespace {

// Lengths are pixels of the pictures as they are given, places OpenCV's: the first pixel's middle is (0, 0).
/// How far a thing moves from picture to picture where nothing shows it, standard deviation: part of the
/// picture's long side.
constexpr double kSpeed = 0.01;
constexpr double kUnlike = 0.5;   ///< share of the patch's contrast (squared) that noise does not explain
constexpr double kJump = 3;       ///< times what was left over in the pictures before
constexpr double kKnown = 2;      ///< pixels: a motion known no better is not taken to go on
constexpr double kClear = 2;      ///< detail is so many times what noise makes
constexpr double kPlain = 20;     ///< and plainly so, in a patch whose place is known both ways
constexpr double kUnknown = 4;    ///< pixels: a place known no better shows nothing that way
constexpr double kAsUsual = 1.3;  ///< times that is nothing to look further for
constexpr double kContrastShare = 0.12;  ///< and where that was nothing, of the patch's contrast
constexpr double kReturned = 13.82;      ///< chi-squared, two degrees of freedom, 99.9 %
constexpr double kReturnFloor = 0.1;
constexpr double kNinetyFive = 5.991;  ///< chi-squared, two degrees of freedom, 95 %
constexpr int kReach = 160;            ///< half the side of what is searched by flow
constexpr int kLevels = 4;
const cv::Size kFlowWindow(21, 21);

cv::Mat view_of(const GreyPicture& picture) {
    return {picture.height, picture.width, CV_8UC1, const_cast<std::uint8_t*>(picture.pixels.data())};
}

bool usable(const GreyPicture& picture) {
    return picture.width > 0 && picture.height > 0 && picture.full_width > 0 && picture.full_height > 0 &&
           picture.pixels.size() ==
               static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height);
}

/// Standard deviation of a picture's noise around a place, by the median of what the diagonals of squares of
/// four pixels differ (D. L. Donoho and I. M. Johnstone 1994): detail hardly touches it.
double noise_around(const cv::Mat& picture, const cv::Point2d& at) {
    const cv::Mat square = square_of(picture, nearest_pixel(at), 4 * kPatchRadius);
    std::vector<double> differences;
    for (int y = 0; y + 1 < square.rows; y += 2)
        for (int x = 0; x + 1 < square.cols; x += 2)
            differences.push_back(
                std::abs(square.at<std::uint8_t>(y, x) + square.at<std::uint8_t>(y + 1, x + 1) -
                         square.at<std::uint8_t>(y + 1, x) - square.at<std::uint8_t>(y, x + 1)) /
                2.0);
    const auto middle = differences.begin() + static_cast<std::ptrdiff_t>(differences.size() / 2);
    std::nth_element(differences.begin(), middle, differences.end());
    return 1.4826 * *middle;
}

/// The second square as bright and with as much contrast as the first: flow compares brightness itself.
cv::Mat as_bright(const cv::Mat& square, const cv::Mat& model) {
    cv::Scalar mean, deviation, model_mean, model_deviation;
    cv::meanStdDev(square, mean, deviation);
    cv::meanStdDev(model, model_mean, model_deviation);
    const double gain = std::clamp(model_deviation[0] / std::max(deviation[0], 1.0), 0.33, 3.0);
    cv::Mat even;
    square.convertTo(even, CV_8U, gain, model_mean[0] - gain * mean[0]);
    return even;
}

/// Where flow begins, and how far it may lead: with each level of its pyramid twice as far, but what is
/// behind a limb has more of a say.
struct Guess {
    cv::Point2d at;
    int levels = 0;
};

/// As it moved before, what is near first; or not at all.
std::vector<Guess> guesses(const cv::Point2d& at, const cv::Point2d& moved) {
    std::vector<Guess> all;
    for (int levels = 1; levels <= kLevels; ++levels)
        all.push_back({at + moved, levels});
    if (moved != cv::Point2d()) all.push_back({at, kLevels});
    return all;
}

/// Where a point of one picture flows in another.
std::optional<cv::Point2d> flow(const cv::Mat& from, const cv::Point2d& at, const cv::Mat& to,
                                const Guess& guess) {
    const cv::Point near_at = nearest_pixel(at), near_guess = nearest_pixel(guess.at);
    const cv::Mat here = square_of(from, near_at, kReach);
    const cv::Mat there = as_bright(square_of(to, near_guess, kReach), here);
    const cv::Point2d middle(kReach, kReach);
    const std::vector<cv::Point2f> start{cv::Point2f(at - cv::Point2d(near_at) + middle)};
    std::vector<cv::Point2f> end{cv::Point2f(guess.at - cv::Point2d(near_guess) + middle)};
    std::vector<std::uint8_t> found;
    std::vector<float> unused;
    const cv::TermCriteria enough(cv::TermCriteria::COUNT + cv::TermCriteria::EPS, 30, 0.01);
    cv::calcOpticalFlowPyrLK(here, there, start, end, found, unused, kFlowWindow, guess.levels, enough,
                             cv::OPTFLOW_USE_INITIAL_FLOW);
    const cv::Point2d off = cv::Point2d(end[0]) - middle;
    if (found[0] == 0 || !(cv::norm(off) <= 2 * kReach)) return std::nullopt;
    return cv::Point2d(near_guess) + off;
}

/// From the starting picture one way, picture by picture.
class Way {
  public:
    Way(const cv::Mat& first, const cv::Point2d& at, const PointSettings& settings)
        : first_(first),
          patch_(Surface(first, at), at),
          bends_(settings.change == PatchChange::affine),
          compression_(settings.compression),
          noise_(noise_around(first, at) / (2 * std::sqrt(CV_PI) * kSmooth)),
          steepness_(patch_.steepness()),
          before_(first),
          placed_{at, cv::Matx22d::eye(), 1, patch_.level} {}

    struct Found {
        PointLoss loss = PointLoss::none;
        cv::Point2d at;
        cv::Matx22d covariance;
        double residual = 0, returned = 0;
    };

    Found next(const cv::Mat& picture) {
        ++steps_;
        Found found;
        if (steepness_[0] < kClear * noise_slope()) return {PointLoss::no_detail, {}, {}, 0, 0};
        const Fitted fitted = sought(patch_, placed_, before_, picture, moved_, steps_);
        found.loss = fitted.loss != PointLoss::none ? fitted.loss : judged(fitted);
        if (found.loss != PointLoss::none) return found;
        const Fitted back = way_back(picture, fitted.placed.at);
        if (back.loss != PointLoss::none) return found.loss = PointLoss::not_returned, found;
        const cv::Point2d off = back.placed.at - placed_.at;
        if (!allowed(off, back.covariance + fitted.covariance + covariance_))
            return found.loss = PointLoss::not_returned, found;
        found = {PointLoss::none, fitted.placed.at, fitted.covariance, fitted.middle, cv::norm(off)};
        moved_ = motion(fitted.placed.at - placed_.at, fitted.covariance + covariance_);
        left_over_.push_back(fitted.middle);
        least_noise_ = std::min(least_noise_, fitted.noise);
        before_ = picture;
        placed_ = fitted.placed;
        covariance_ = fitted.covariance;
        return found;
    }

  private:
    [[nodiscard]] double surely(int steps) const {
        return kSpeed * std::max(first_.cols, first_.rows) * steps;
    }

    /// The patch from 'from' in 'to', by the guess that fits best; the first that fits as usual is taken.
    [[nodiscard]] Fitted sought(const Patch& patch, const Placed& placed, const cv::Mat& from,
                                const cv::Mat& to, const cv::Point2d& moved, int steps) const {
        Fitted best;
        best.loss = PointLoss::unlike;
        for (const Guess& guess : guesses(placed.at, moved)) {
            const auto flowed = flow(from, placed.at, to, guess);
            if (!flowed) continue;
            Placed start = placed;
            start.at = *flowed;
            const Beforehand before{bends_, surely(steps), patch_noise()};
            Fitted fitted = fit_patch(patch, Surface(to, *flowed), start, before);
            if (fitted.loss == PointLoss::none) {
                as_guessed_where_unseen(fitted, guess.at, before.standard);
                fitted.covariance += compression_ * compression_ * cv::Matx22d::eye();
                if (best.loss != PointLoss::none || fitted.unlike() < best.unlike()) best = fitted;
                if (!left_over_.empty() && best.middle <= kAsUsual * usual()) break;
            } else if (fitted.loss == PointLoss::out_of_picture && best.loss != PointLoss::none) {
                best = fitted;
            }
        }
        return best;
    }

    /// Along an edge nothing shows how far it slid, and a fit is where noise took it: the guess is as good.
    static void as_guessed_where_unseen(Fitted& fitted, const cv::Point2d& guess, double standard) {
        const cv::Point2d off = guess - fitted.placed.at;
        const cv::Vec2d back = fitted.covariance * cv::Vec2d(off.x, off.y) / (standard * standard);
        fitted.placed.at += cv::Point2d(back);
    }

    /// How it went on, as far as that is known.
    [[nodiscard]] cv::Point2d motion(const cv::Point2d& moved, const cv::Matx22d& covariance) const {
        const cv::Matx22d known = kKnown * kKnown * cv::Matx22d::eye();
        const cv::Vec2d sure = known * (known + covariance).inv() * cv::Vec2d(moved.x, moved.y);
        return cv::Point2d(sure);
    }

    /// Of the patch's pixels, variance: what is left over holds it in every picture, and a change of what is
    /// seen in some. The first counts wide noise that compression makes, too; the second is surer of fine
    /// noise.
    [[nodiscard]] double patch_noise() const { return std::max(least_noise_, noise_ * noise_); }

    [[nodiscard]] PointLoss judged(const Fitted& fitted) const {
        const double changed = fitted.placed.gain / placed_.gain;
        if (fitted.placed.gain < 0.25 || fitted.placed.gain > 4 || changed < 0.5 || changed > 2)
            return PointLoss::unlike;
        const double contrast = fitted.placed.gain * patch_.contrast;
        const double noise = noise_ * std::hypot(1, fitted.placed.gain);
        if (fitted.middle * fitted.middle > 9 * noise * noise + kUnlike * contrast * contrast)
            return PointLoss::unlike;
        if (!left_over_.empty() &&
            fitted.middle > kJump * std::max({usual(), noise, kContrastShare * contrast}))
            return PointLoss::unlike;
        cv::Matx21d values;
        cv::eigen(fitted.covariance, values);
        if (!(values(1) < kUnknown * kUnknown)) return PointLoss::no_detail;
        const bool sure = steepness_[1] > kPlain * noise_slope();
        return sure && !(values(0) < kUnknown * kUnknown) ? PointLoss::unlike : PointLoss::none;
    }

    /// What noise makes of a squared slope.
    [[nodiscard]] double noise_slope() const { return noise_ * noise_ / (2 * kSmooth * kSmooth); }

    /// What was left over in the last few pictures: the middle one.
    [[nodiscard]] double usual() const {
        std::vector<double> last(left_over_.end() - std::min<std::ptrdiff_t>(5, std::ssize(left_over_)),
                                 left_over_.end());
        const auto middle = last.begin() + std::ssize(last) / 2;
        std::nth_element(last.begin(), middle, last.end());
        return *middle;
    }

    /// What is here now, sought in the picture before.
    [[nodiscard]] Fitted way_back(const cv::Mat& picture, const cv::Point2d& at) const {
        const Patch here(Surface(picture, at), at);
        return sought(here, {at, cv::Matx22d::eye(), 1, here.level}, picture, before_, -moved_, 1);
    }

    static bool allowed(const cv::Point2d& off, cv::Matx22d covariance) {
        covariance += kReturnFloor * kReturnFloor * cv::Matx22d::eye();
        const cv::Vec2d by(off.x, off.y);
        return by.dot(covariance.inv() * by) <= kReturned;
    }

    cv::Mat first_;
    Patch patch_;
    bool bends_;
    double compression_;
    double noise_;                     ///< of one picture, once it is smoothed
    std::array<double, 2> steepness_;  ///< of the patch
    int steps_ = 0;
    // As of the picture before.
    cv::Mat before_;
    Placed placed_;
    cv::Point2d moved_;
    cv::Matx22d covariance_;
    std::vector<double> left_over_;
    double least_noise_ = std::numeric_limits<double>::infinity();
};

/// Between pixels of the pictures given and those of the full upright ones.
struct Scale {
    explicit Scale(const GreyPicture& picture)
        : x(static_cast<double>(picture.full_width) / picture.width),
          y(static_cast<double>(picture.full_height) / picture.height) {}
    [[nodiscard]] cv::Point2d small(const Point& full) const {
        return {full[0] / x - 0.5, full[1] / y - 0.5};
    }
    [[nodiscard]] FollowedPoint full(const Way::Found& found) const {
        FollowedPoint point;
        point.loss = found.loss;
        if (!point.found()) return point;
        point.at = {(found.at.x + 0.5) * x, (found.at.y + 0.5) * y};
        const cv::Matx22d& c = found.covariance;
        point.covariance = {c(0, 0) * x * x, c(0, 1) * x * y, c(1, 1) * y * y};
        point.residual = found.residual;
        point.returned = found.returned * std::max(x, y);
        return point;
    }
    double x, y;
};

bool alike(const GreyPicture& a, const GreyPicture& b) {
    return usable(a) && a.width == b.width && a.height == b.height && a.full_width == b.full_width &&
           a.full_height == b.full_height;
}

/// False where it was stopped.
bool follow_way(std::span<const GreyPicture> pictures, PointTrack& track, int step,
                const PointSettings& settings, const std::stop_token& stop) {
    const GreyPicture& first = pictures[track.start];
    const Scale scale(first);
    Way way(view_of(first), scale.small(track.points[track.start].at), settings);
    const std::ptrdiff_t count = std::ssize(pictures);
    for (std::ptrdiff_t i = static_cast<std::ptrdiff_t>(track.start) + step; i >= 0 && i < count; i += step) {
        if (stop.stop_requested()) return false;
        const GreyPicture& picture = pictures[static_cast<std::size_t>(i)];
        FollowedPoint& point = track.points[static_cast<std::size_t>(i)];
        if (alike(picture, first))
            point = scale.full(way.next(view_of(picture)));
        else
            point.loss = PointLoss::no_picture;
        if (!point.found()) break;
    }
    return true;
}

}  // namespace

double FollowedPoint::standard(const Point& direction) const {
    const double x = direction[0], y = direction[1];
    return std::sqrt(std::max(
        0.0, (x * x * covariance[0] + 2 * x * y * covariance[1] + y * y * covariance[2]) / (x * x + y * y)));
}

double FollowedPoint::largest_standard() const {
    const double half = (covariance[0] + covariance[2]) / 2;
    return std::sqrt(std::max(0.0, half + std::hypot((covariance[0] - covariance[2]) / 2, covariance[1])));
}

bool FollowedPoint::within_95(const Point& place) const {
    const double x = place[0] - at[0], y = place[1] - at[1];
    const double area = covariance[0] * covariance[2] - covariance[1] * covariance[1];
    if (!(area > 0)) return x == 0 && y == 0;
    return (x * x * covariance[2] - 2 * x * y * covariance[1] + y * y * covariance[0]) / area <= kNinetyFive;
}

base::Result<PointTrack> PointTrack::follow(std::span<const GreyPicture> pictures, std::size_t start,
                                            const Point& at, const PointSettings& settings,
                                            const std::stop_token& stop) {
    if (start >= pictures.size() || !usable(pictures[start]))
        return base::Error{
            base::Category::bad_input,
            base::worded(
                "The picture that the point was placed on cannot be read, so it cannot be followed."),
            ""};
    const GreyPicture& first = pictures[start];
    if (!(at[0] >= 0 && at[1] >= 0 && at[0] < first.full_width && at[1] < first.full_height))
        return base::Error{
            base::Category::bad_input,
            base::worded("The point lies outside the picture, so it cannot be followed. Place it "
                         "within the picture."),
            ""};
    PointTrack track{start, std::vector<FollowedPoint>(pictures.size())};
    track.points[start].loss = PointLoss::none;
    track.points[start].at = at;
    bool done = true;
    on_one_thread([&] {
        for (const int step : {1, -1})
            done = done && follow_way(pictures, track, step, settings, stop);
    });
    if (!done || stop.stop_requested())
        return base::Error{base::Category::cancelled, base::worded("Following the point was stopped."), ""};
    return track;
}

}  // namespace plumbmark::follow
