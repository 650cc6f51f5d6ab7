// Finds the still anywhere in a picture, without a guess.
#pragma once

#include <opencv2/core.hpp>
#include <opencv2/features2d.hpp>
#include <optional>
#include <vector>

#include "follow/internal/tracks.h"

namespace plumbmark::follow {

/// A homography that the most of these points agree on, and those that do (within 'within' pixels); none
/// where fewer than eight do. D. Barath and others, 'MAGSAC++, a fast, reliable and accurate robust
/// estimator', CVPR 2020, in OpenCV's USAC, which begins with the same random numbers on every call.
[[nodiscard]] std::optional<cv::Matx33d> agreed(const std::vector<Track>& tracks, double within);

/// ORB features (E. Rublee and others, ICCV 2011) of the still, the best of each cell of a grid, held against
/// those of a picture with the ratio test (D. Lowe, IJCV 2004, section 7.1) and both ways.
class Matcher {
  public:
    explicit Matcher(const cv::Mat& still);
    /// Still -> picture, good to a few pixels; none where too little of the still is seen again.
    [[nodiscard]] std::optional<cv::Matx33d> find(const cv::Mat& picture) const;

  private:
    struct Features {
        std::vector<cv::KeyPoint> points;
        cv::Mat descriptors;
    };
    [[nodiscard]] static Features features_of(const cv::Mat& picture);

    Features still_;
};

}  // namespace plumbmark::follow
