// The still's points, found again in another picture.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

namespace plumbmark::follow {

/// A point of the still and where it lies in the picture, in pixels of the small pictures (OpenCV's: the
/// middle of the first pixel is (0, 0)).
struct Track {
    cv::Point2f still, picture;
};

struct Tracks {
    std::vector<Track> found;
    int visible = 0;  ///< points of the still that should be in the picture
};

/// Corners of the still (J. Shi and C. Tomasi, 'Good features to track', CVPR 1994), the best few of each
/// cell of a grid so that no part of the picture is left out, and more of them near the shapes.
[[nodiscard]] std::vector<cv::Point2f> spread_corners(const cv::Mat& still,
                                                      const std::vector<std::vector<cv::Point2f>>& shapes);

/// Follows corners from the still into pictures (B. Lucas and T. Kanade, IJCAI 1981, in the pyramid of J.-Y.
/// Bouguet, 2001). The picture is first brought into the still's view by a guess, so that the corners look
/// alike however far the camera turned; a point counts where the way back leads to where it began, and where
/// its surroundings look the same but for brightness and contrast.
class Tracker {
  public:
    Tracker(cv::Mat still, std::vector<cv::Point2f> corners);
    /// 'guess': still -> picture, 3 x 3 of doubles. 'levels': of the pyramid above the picture itself: 0
    /// where the guess is good to a few pixels, 3 where it may be off by tens.
    [[nodiscard]] Tracks follow(const cv::Mat& picture, const cv::Matx33d& guess, int levels) const;

  private:
    cv::Mat still_;
    std::vector<cv::Mat> pyramid_;
    std::vector<cv::Point2f> corners_;
};

[[nodiscard]] cv::Point2d mapped(const cv::Matx33d& mapping, const cv::Point2d& point);

}  // namespace plumbmark::follow
