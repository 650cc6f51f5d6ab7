#include "follow/internal/match.h"

#include <algorithm>
#include <map>
#include <opencv2/calib3d.hpp>

namespace plumbmark::follow {
namespace {

constexpr int kCell = 80;
constexpr std::size_t kPerCell = 14;
constexpr int kMostDetected = 6000;
constexpr int kFastContrast = 8;  ///< of FAST, in code values: dim halls have corners too
constexpr float kRatio = 0.8F;
constexpr double kMatchWithin = 3;
constexpr int kLeastAgreeing = 12;
constexpr int kTries = 5000;
constexpr double kSurety = 0.999;

std::vector<cv::KeyPoint> best_of_each_cell(std::vector<cv::KeyPoint> points) {
    std::stable_sort(points.begin(), points.end(),
                     [](const cv::KeyPoint& a, const cv::KeyPoint& b) { return a.response > b.response; });
    std::map<std::pair<int, int>, std::size_t> taken;
    std::vector<cv::KeyPoint> kept;
    for (const cv::KeyPoint& point : points) {
        const std::pair cell(static_cast<int>(point.pt.x) / kCell, static_cast<int>(point.pt.y) / kCell);
        if (taken[cell]++ < kPerCell) kept.push_back(point);
    }
    return kept;
}

/// For each descriptor of 'from' the one of 'to' that stands out as its nearest, or -1.
std::vector<int> nearest(const cv::Mat& from, const cv::Mat& to) {
    std::vector<std::vector<cv::DMatch>> pairs;
    cv::BFMatcher(cv::NORM_HAMMING).knnMatch(from, to, pairs, 2);
    std::vector<int> result(static_cast<std::size_t>(from.rows), -1);
    for (const auto& pair : pairs) {
        if (pair.size() == 2 && pair[0].distance < kRatio * pair[1].distance)
            result[static_cast<std::size_t>(pair[0].queryIdx)] = pair[0].trainIdx;
    }
    return result;
}

int count_within(const std::vector<Track>& tracks, const cv::Matx33d& mapping, double within) {
    return static_cast<int>(std::count_if(tracks.begin(), tracks.end(), [&](const Track& track) {
        return cv::norm(mapped(mapping, track.still) - cv::Point2d(track.picture)) <= within;
    }));
}

}  // namespace

std::optional<cv::Matx33d> agreed(const std::vector<Track>& tracks, double within) {
    constexpr int kLeast = 8;  // four points always agree
    if (tracks.size() < static_cast<std::size_t>(kLeast)) return std::nullopt;
    std::vector<cv::Point2f> from, to;
    for (const Track& track : tracks) {
        from.push_back(track.still);
        to.push_back(track.picture);
    }
    try {
        const cv::Mat found =
            cv::findHomography(from, to, cv::USAC_MAGSAC, within, cv::noArray(), kTries, kSurety);
        if (found.rows != 3 || found.cols != 3 || !cv::checkRange(found)) return std::nullopt;
        const cv::Matx33d mapping = found;
        if (count_within(tracks, mapping, 2 * within) < kLeast) return std::nullopt;
        return mapping;
    } catch (const cv::Exception&) {
        return std::nullopt;  // all on one line, and the like
    }
}

Matcher::Matcher(const cv::Mat& still) : still_(features_of(still)) {}

Matcher::Features Matcher::features_of(const cv::Mat& picture) {
    const cv::Ptr<cv::ORB> orb =
        cv::ORB::create(kMostDetected, 1.2F, 6, 31, 0, 2, cv::ORB::HARRIS_SCORE, 31, kFastContrast);
    Features features;
    orb->detect(picture, features.points);
    features.points = best_of_each_cell(std::move(features.points));
    if (!features.points.empty()) orb->compute(picture, features.points, features.descriptors);
    return features;
}

std::optional<cv::Matx33d> Matcher::find(const cv::Mat& picture) const {
    const Features seen = features_of(picture);
    if (still_.descriptors.rows < 2 || seen.descriptors.rows < 2) return std::nullopt;
    const std::vector<int> there = nearest(still_.descriptors, seen.descriptors);
    const std::vector<int> back = nearest(seen.descriptors, still_.descriptors);
    std::vector<Track> tracks;
    for (std::size_t i = 0; i < there.size(); ++i) {
        if (there[i] < 0 || back[static_cast<std::size_t>(there[i])] != static_cast<int>(i)) continue;
        tracks.push_back({still_.points[i].pt, seen.points[static_cast<std::size_t>(there[i])].pt});
    }
    const std::optional<cv::Matx33d> mapping = agreed(tracks, kMatchWithin);
    if (!mapping || count_within(tracks, *mapping, kMatchWithin) < kLeastAgreeing) return std::nullopt;
    return mapping;
}

}  // namespace plumbmark::follow
