// The homography that fits best near a shape, and how well it is known there.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "follow/internal/tracks.h"

namespace plumbmark::follow {

/// Lengths are pixels of the small pictures.
struct Polished {
    cv::Matx33d mapping;
    double scatter = 0;  ///< robust standard deviation of a coordinate, over the points that count
    int inliers = 0;
    double error = 0;  ///< the largest, over the shape's points: half the width that holds 95 %
};

/// The least squares fit of the tracks, those that disagree given less and less weight (Tukey's biweight,
/// with the scale from the median absolute deviation: P. Huber, 'Robust Statistics', 1981). It counts a point
/// less the further it lies from the shape, where 'reach' is given: a scene is not one plane, and what is
/// near the shape moves as the shape does. None where the points do not hold a homography.
///
/// The error comes from the covariance of the eight numbers (Hartley and Zisserman, section 5.2), in the form
/// that does not take the points to scatter alike (H. White, Econometrica 1980), carried to the shape's
/// points by the mapping's derivative; and from how far the points near the shape lie to one side of the
/// mapping.
[[nodiscard]] std::optional<Polished> polish(const std::vector<Track>& tracks, const cv::Matx33d& start,
                                             const std::vector<cv::Point2f>& shape,
                                             std::optional<double> reach);

}  // namespace plumbmark::follow
