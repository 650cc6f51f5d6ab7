// A patch of one picture, fitted to a place of another.
#pragma once

#include <algorithm>
#include <array>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "follow/point_track.h"

namespace plumbmark::follow {

// Lengths are pixels of the pictures as they are given, places OpenCV's: the first pixel's middle is (0, 0).
inline constexpr int kPatchRadius = 12;  ///< a patch reaches so far from its middle
inline constexpr double kSmooth = 1;     ///< pictures are smoothed by this before they are compared
inline constexpr double kFurthest = 8;   ///< a fit that ends further from where it began found something else
inline constexpr int kFitReach = 2 * kPatchRadius + static_cast<int>(kFurthest) + 6;  ///< what it may look at

[[nodiscard]] cv::Point nearest_pixel(const cv::Point2d& at);
/// A square of the picture; beyond its border the border goes on.
[[nodiscard]] cv::Mat square_of(const cv::Mat& picture, const cv::Point& middle, int half);

/// What of a picture lies around a place, smoothed: the noise of neighbours would otherwise pull a patch
/// towards whole pixels, as it is weakened most half way between them. Smoothing and slopes are those of a
/// Gaussian, which favours no direction as differences of neighbours do.
class Surface {
  public:
    Surface(const cv::Mat& picture, const cv::Point2d& around, int half = kFitReach);
    [[nodiscard]] bool in_picture(const cv::Point2d& at) const;
    /// By the cubic kernel of R. Keys (1981); nothing outside.
    [[nodiscard]] std::optional<double> at(const cv::Point2d& place) const;
    [[nodiscard]] cv::Vec2d slope(const cv::Point2d& place) const;

  private:
    [[nodiscard]] std::optional<double> sampled(const cv::Mat& values, const cv::Point2d& place) const;
    cv::Point corner_;
    cv::Size size_;
    cv::Mat values_, along_x_, along_y_;
};

/// The patch around a point as it is looked for elsewhere.
struct Patch {
    struct Pixel {
        cv::Point2d from;  ///< the patch's middle
        cv::Vec2d slope;
        double value = 0;   ///< less the patch's mean
        double weight = 0;  ///< 0 outside the picture
    };
    Patch(const Surface& surface, const cv::Point2d& middle);
    /// The mean of its squared slopes, along the direction in which it is the largest and across it.
    [[nodiscard]] std::array<double, 2> steepness() const;
    std::vector<Pixel> pixels;  ///< row by row
    double contrast = 0;        ///< standard deviation
    double level = 0;           ///< mean
};

/// Where a patch's pixels lie: the middle 'at', and what is 'from' it at linear * from; and how bright.
struct Placed {
    cv::Point2d at;
    cv::Matx22d linear = cv::Matx22d::eye();
    double gain = 1, lift = 0;
    [[nodiscard]] cv::Point2d operator()(const cv::Point2d& from) const {
        return at + cv::Point2d(linear * cv::Vec2d(from.x, from.y));
    }
};

struct Fitted {
    PointLoss loss = PointLoss::none;
    Placed placed;
    cv::Matx22d covariance;
    double middle = 0;  ///< what is left over near the middle, standard deviation in code values
    double noise = 0;   ///< the patch's own share of what is left over, variance
    /// What is left over, as against the patch's own contrast: little is left over of a bare wall, too.
    [[nodiscard]] double unlike() const { return middle / std::min(1.0, placed.gain); }
};

/// What is known without the picture.
struct Beforehand {
    bool bends = true;    ///< whether the linear part is looked for
    double standard = 1;  ///< of the place, each way
    double noise = 0;     ///< of the patch's pixels, variance, at most
};

/// By Gauss-Newton with inverse composition (S. Baker and I. Matthews, IJCV 2004), brightness and contrast
/// solved for as well, what disagrees weighed down by the biweight (A. Beaton and J. W. Tukey, Technometrics
/// 1974).
[[nodiscard]] Fitted fit_patch(const Patch& patch, const Surface& surface, const Placed& start,
                               const Beforehand& before);

}  // namespace plumbmark::follow
