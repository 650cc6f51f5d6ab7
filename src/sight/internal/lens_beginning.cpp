#include "sight/internal/lens_beginning.h"

#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/core.hpp>

namespace plumbmark::sight {
namespace {

constexpr int kFocals = 16;
constexpr double kShortest = 0.33, kLongest = 6;

double sum_of(const BoardView& view, const Lens& lens, const Pose& pose) {
    double sum = 0;
    for (std::size_t i = 0; i < view.places.size(); ++i) {
        const auto at = project({lens, pose}, view.places[i]);
        if (!at) return 1e300;
        sum += std::pow(at->x - view.seen[i].x, 2) + std::pow(at->y - view.seen[i].y, 2);
    }
    return std::isfinite(sum) ? sum : 1e300;
}

}  // namespace

std::vector<Pose> board_poses(const BoardView& view, const Lens& lens) {
    std::vector<cv::Point3d> places;
    std::vector<cv::Point2d> seen;
    for (std::size_t i = 0; i < view.places.size(); ++i) {
        // Straightened here, as OpenCV's own way back from distortion takes a fixed number of steps only.
        const auto ray = ray_through({lens, {}}, view.seen[i]);
        if (!ray) continue;
        places.emplace_back(view.places[i].x, view.places[i].y, view.places[i].z);
        seen.emplace_back(ray->direction.x / ray->direction.z, ray->direction.y / ray->direction.z);
    }
    std::vector<Pose> poses;
    if (places.size() < 4) return poses;
    std::vector<cv::Mat> axes, shifts;
    try {
        cv::solvePnPGeneric(places, seen, cv::Matx33d::eye(), cv::noArray(), axes, shifts, false,
                            cv::SOLVEPNP_IPPE);
    } catch (const cv::Exception&) {
        return poses;
    }
    for (std::size_t i = 0; i < axes.size(); ++i) {
        const cv::Mat &axis = axes[i], &shift = shifts[i];
        const Pose pose{turning({axis.at<double>(0), axis.at<double>(1), axis.at<double>(2)}),
                        {shift.at<double>(0), shift.at<double>(1), shift.at<double>(2)}};
        if (sum_of(view, lens, pose) < 1e300) poses.push_back(pose);
    }
    std::sort(poses.begin(), poses.end(),
              [&](const Pose& a, const Pose& b) { return sum_of(view, lens, a) < sum_of(view, lens, b); });
    return poses;
}

std::vector<LensBeginning> lens_beginnings(const std::vector<BoardView>& views, int width, int height) {
    std::vector<LensBeginning> out;
    const double longer = std::max(width, height);
    for (int i = 0; i < kFocals; ++i) {
        const double focal = longer * kShortest * std::pow(kLongest / kShortest, i / (kFocals - 1.0));
        LensBeginning one{{width, height, focal, focal, width / 2.0, height / 2.0}, {}, 0};
        for (const BoardView& view : views) {
            const std::vector<Pose> poses = board_poses(view, one.lens);
            if (poses.empty()) break;
            one.sum += sum_of(view, one.lens, poses.front());
            one.poses.push_back(poses.front());
        }
        if (one.poses.size() == views.size()) out.push_back(std::move(one));
    }
    std::sort(out.begin(), out.end(),
              [](const LensBeginning& a, const LensBeginning& b) { return a.sum < b.sum; });
    return out;
}

}  // namespace plumbmark::sight
