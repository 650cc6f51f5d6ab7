#include "follow/internal/tracks.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <opencv2/video/tracking.hpp>

namespace plumbmark::follow {
namespace {

constexpr int kCell = 60;        ///< side of a cell of the grid
constexpr int kPerCell = 2;      ///< corners in a cell
constexpr int kPerCellNear = 6;  ///< in a cell that a shape reaches into
constexpr int kApart = 7;        ///< least distance of two corners
constexpr int kLevels = 3;
constexpr double kQuality = 0.008;     ///< of the best corner's smaller eigenvalue
constexpr double kLeastCorner = 2e-5;  ///< below this it is noise: sensor noise of 2 code values gives 1e-5
const cv::Size kWindow(17, 17);
constexpr int kPatch = 13;            ///< side of what is compared around a point
constexpr double kAlike = 0.75;       ///< least correlation of the two
constexpr double kLeastContrast = 2;  ///< of the patch in the picture, standard deviation in code values
constexpr float kThereAndBack = 0.4F;

struct Corner {
    cv::Point at;
    float strength;
};

bool near_shape(const cv::Rect& cell, const std::vector<std::vector<cv::Point2f>>& shapes) {
    return std::any_of(shapes.begin(), shapes.end(), [&](const std::vector<cv::Point2f>& shape) {
        cv::Rect around = cv::boundingRect(shape);
        around -= cv::Point(kCell / 2, kCell / 2);
        around += cv::Size(kCell, kCell);
        return (around & cell).area() > 0;
    });
}

std::vector<Corner> corners_in(const cv::Mat& strength, const cv::Mat& peaks, const cv::Rect& cell,
                               float least) {
    std::vector<Corner> corners;
    for (int y = cell.y; y < cell.br().y; ++y)
        for (int x = cell.x; x < cell.br().x; ++x) {
            const float value = strength.at<float>(y, x);
            if (value >= least && value == peaks.at<float>(y, x)) corners.push_back({{x, y}, value});
        }
    std::sort(corners.begin(), corners.end(), [](const Corner& a, const Corner& b) {
        if (a.strength != b.strength) return a.strength > b.strength;
        return std::pair(a.at.y, a.at.x) < std::pair(b.at.y, b.at.x);
    });
    return corners;
}

bool alike(const cv::Mat& a, const cv::Mat& b) {
    cv::Scalar mean_a, mean_b, deviation_a, deviation_b;
    cv::meanStdDev(a, mean_a, deviation_a);
    cv::meanStdDev(b, mean_b, deviation_b);
    if (deviation_b[0] < kLeastContrast || deviation_a[0] <= 0) return false;
    const double product = a.dot(b) / static_cast<double>(a.total());
    return product - mean_a[0] * mean_b[0] >= kAlike * deviation_a[0] * deviation_b[0];
}

cv::Mat patch(const cv::Mat& picture, const cv::Point2f& at) {
    cv::Mat square;
    cv::getRectSubPix(picture, {kPatch, kPatch}, at, square, CV_32F);
    return square;
}

bool inside(const cv::Point2d& point, const cv::Size& size, double margin) {
    return point.x >= margin && point.y >= margin && point.x < size.width - margin &&
           point.y < size.height - margin;
}

/// The picture as the still's camera would have seen it.
cv::Mat in_the_stills_view(const cv::Mat& picture, const cv::Matx33d& guess, const cv::Size& size) {
    if (guess == cv::Matx33d::eye() && picture.size() == size) return picture;
    cv::Mat warped;
    cv::warpPerspective(picture, warped, guess, size, cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                        cv::BORDER_REPLICATE);
    return warped;
}

}  // namespace

cv::Point2d mapped(const cv::Matx33d& mapping, const cv::Point2d& point) {
    const cv::Vec3d at = mapping * cv::Vec3d(point.x, point.y, 1);
    return {at[0] / at[2], at[1] / at[2]};
}

std::vector<cv::Point2f> spread_corners(const cv::Mat& still,
                                        const std::vector<std::vector<cv::Point2f>>& shapes) {
    cv::Mat strength, peaks;
    cv::cornerMinEigenVal(still, strength, 5, 3);
    cv::dilate(strength, peaks, cv::Mat::ones(2 * kApart + 1, 2 * kApart + 1, CV_8U));
    const int margin = kPatch;
    const cv::Rect usable(margin, margin, still.cols - 2 * margin, still.rows - 2 * margin);
    double best = 0;
    if (usable.width > 0 && usable.height > 0) cv::minMaxLoc(strength(usable), nullptr, &best);
    const auto least = static_cast<float>(std::max(best * kQuality, kLeastCorner));
    std::vector<cv::Point2f> corners;
    for (int y = 0; y < still.rows; y += kCell)
        for (int x = 0; x < still.cols; x += kCell) {
            const cv::Rect cell = cv::Rect(x, y, kCell, kCell) & usable;
            std::vector<Corner> here = corners_in(strength, peaks, cell, least);
            const auto count = static_cast<std::size_t>(near_shape(cell, shapes) ? kPerCellNear : kPerCell);
            if (here.size() > count) here.resize(count);
            for (const Corner& corner : here)
                corners.emplace_back(corner.at);
        }
    return corners;
}

Tracker::Tracker(cv::Mat still, std::vector<cv::Point2f> corners)
    : still_(std::move(still)), corners_(std::move(corners)) {
    cv::buildOpticalFlowPyramid(still_, pyramid_, kWindow, kLevels);
}

Tracks Tracker::follow(const cv::Mat& picture, const cv::Matx33d& guess, int levels) const {
    Tracks tracks;
    std::vector<cv::Point2f> from;
    for (const cv::Point2f& corner : corners_) {
        const cv::Vec3d at = guess * cv::Vec3d(corner.x, corner.y, 1);
        if (at[2] > 1e-6 && inside({at[0] / at[2], at[1] / at[2]}, picture.size(), kPatch / 2.0))
            from.push_back(corner);
    }
    tracks.visible = static_cast<int>(from.size());
    if (from.empty()) return tracks;
    const cv::Mat view = in_the_stills_view(picture, guess, still_.size());
    std::vector<cv::Mat> seen;
    cv::buildOpticalFlowPyramid(view, seen, kWindow, levels);
    const cv::TermCriteria enough(cv::TermCriteria::COUNT + cv::TermCriteria::EPS, 20, 0.02);
    std::vector<cv::Point2f> to = from, back = from;
    std::vector<std::uint8_t> there, returned;
    std::vector<float> unused;
    cv::calcOpticalFlowPyrLK(pyramid_, seen, from, to, there, unused, kWindow, levels, enough,
                             cv::OPTFLOW_USE_INITIAL_FLOW);
    cv::calcOpticalFlowPyrLK(seen, pyramid_, to, back, returned, unused, kWindow, levels, enough,
                             cv::OPTFLOW_USE_INITIAL_FLOW);
    for (std::size_t i = 0; i < from.size(); ++i) {
        if (!there[i] || !returned[i] || !inside(to[i], view.size(), 1)) continue;
        const cv::Point2f off = back[i] - from[i];
        if (!(off.dot(off) < kThereAndBack * kThereAndBack)) continue;
        if (!alike(patch(still_, from[i]), patch(view, to[i]))) continue;
        tracks.found.push_back({from[i], cv::Point2f(mapped(guess, to[i]))});
    }
    return tracks;
}

}  // namespace plumbmark::follow
