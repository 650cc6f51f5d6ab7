#include "follow/follower.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "base/check.h"
#include "base/worded.h"
#include "follow/internal/match.h"
#include "follow/internal/one_thread.h"
#include "follow/internal/polish.h"
#include "follow/internal/tracks.h"

namespace plumbmark::follow {
namespace {

// Lengths are pixels of the small pictures.
constexpr double kStill = 0.25;      ///< the picture has not moved: half a pixel of one 1920 long
constexpr double kStillShare = 0.4;  ///< of the visible points that must be seen for that
constexpr double kAgree = 1.5;       ///< points of one view lie this close to it
constexpr double kLoose = 2.5;       ///< and these may belong to a plane of their own in it
constexpr int kLeastInliers = 20;
constexpr double kLeastShare = 0.12;  ///< of the points that should be visible
constexpr std::size_t kLeastCorners = 30;
constexpr double kFarGuess = 2;  ///< a guess that was off by more is replaced, and the points sought again
constexpr int kMostRounds = 3;
constexpr double kMostGrown = 4;       ///< largest change of size either way
constexpr double kMostSqueezed = 2.5;  ///< longest over shortest change of size at one place
constexpr double kPlainly = 0.6;       ///< of the error by all points
constexpr double kAsSharp = 2;         ///< points of one plane scatter no more than this times as much
constexpr double kReach = 0.25;        ///< of a shape's diagonal: what lies within counts as near it
constexpr int kAround = 31;            ///< side of what a place's brightness is held against
constexpr double kContrast = 50;       ///< standard deviation of what comes out, in code values
constexpr double kNoise = 6;           ///< a smaller one of what goes in is not blown up
constexpr double kLeastReach = 0.03;   ///< of the picture's long side

cv::Mat view_of(const GreyPicture& picture) {
    return {picture.height, picture.width, CV_8UC1, const_cast<std::uint8_t*>(picture.pixels.data())};
}

/// Each place against what is around it: a camera that sets its exposure anew, or a shadow that falls on the
/// wall, leaves this as it was, where following by brightness would go astray.
cv::Mat evened(const GreyPicture& picture) {
    const cv::Mat grey = view_of(picture);
    cv::Mat values, mean, square;
    grey.convertTo(values, CV_32F);
    cv::boxFilter(values, mean, CV_32F, {kAround, kAround});
    cv::sqrBoxFilter(values, square, CV_32F, {kAround, kAround});
    cv::Mat spread = square - mean.mul(mean);
    cv::max(spread, 0, spread);
    cv::sqrt(spread, spread);
    cv::Mat even = (values - mean).mul(kContrast / (spread + kNoise));
    cv::Mat result;
    even.convertTo(result, CV_8U, 1, 128);
    return result;
}

bool usable(const GreyPicture& picture) {
    return picture.width > 0 && picture.height > 0 && picture.full_width > 0 && picture.full_height > 0 &&
           picture.pixels.size() ==
               static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height);
}

/// Where the points of one view lie.
struct Located {
    Tracks tracks;
    cv::Matx33d mapping;
};

double percentile(std::vector<double> values, double share) {
    if (values.empty()) return 0;
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

int count_agreeing(const Located& located) {
    return static_cast<int>(
        std::count_if(located.tracks.found.begin(), located.tracks.found.end(), [&](const Track& track) {
            return cv::norm(mapped(located.mapping, track.still) - cv::Point2d(track.picture)) <= kLoose;
        }));
}

/// What a view of the scene from near by can be: in front, not turned over, not squeezed, not far away.
bool plausible(const cv::Matx33d& h, const cv::Point2d& p) {
    const double w = h(2, 0) * p.x + h(2, 1) * p.y + h(2, 2);
    if (!(w > 1e-3 * std::abs(h(2, 2)))) return false;
    const double u = (h(0, 0) * p.x + h(0, 1) * p.y + h(0, 2)) / w;
    const double v = (h(1, 0) * p.x + h(1, 1) * p.y + h(1, 2)) / w;
    const double a = (h(0, 0) - u * h(2, 0)) / w, b = (h(0, 1) - u * h(2, 1)) / w;
    const double c = (h(1, 0) - v * h(2, 0)) / w, d = (h(1, 1) - v * h(2, 1)) / w;
    const double area = a * d - b * c;
    const double half = (a * a + b * b + c * c + d * d) / 2;
    if (!(area > 0)) return false;
    const double root = std::sqrt(std::max(0.0, half * half - area * area));
    const double longest = std::sqrt(half + root), shortest = area / longest;
    return longest <= kMostGrown && shortest >= 1 / kMostGrown && longest <= kMostSqueezed * shortest;
}

}  // namespace

double largest_error(int full_width, int full_height) {
    return std::max(2.0, 4.0 * std::max(full_width, full_height) / 1920);
}

struct Follower::Inner {
    Inner(const GreyPicture& still, std::vector<std::vector<Point>> given)
        : size(still.width, still.height),
          full(still.full_width, still.full_height),
          scale{static_cast<double>(full.width) / size.width, static_cast<double>(full.height) / size.height},
          shapes(small(given)),
          even(evened(still)),
          corners(spread_corners(even, shapes)),
          tracker(even, corners),
          matcher(even) {}

    [[nodiscard]] std::vector<std::vector<cv::Point2f>> small(
        const std::vector<std::vector<Point>>& given) const {
        std::vector<std::vector<cv::Point2f>> all;
        for (const auto& shape : given) {
            auto& points = all.emplace_back();
            for (const Point& point : shape)
                points.emplace_back(static_cast<float>(point[0] / scale[0] - 0.5),
                                    static_cast<float>(point[1] / scale[1] - 0.5));
        }
        return all;
    }

    [[nodiscard]] cv::Matx33d grow() const {
        return {scale[0], 0, scale[0] / 2, 0, scale[1], scale[1] / 2, 0, 0, 1};
    }
    [[nodiscard]] Mapping to_full(const cv::Matx33d& mapping) const {
        const cv::Matx33d whole = grow() * mapping * grow().inv();
        Mapping full_mapping;
        for (int i = 0; i < 9; ++i)
            full_mapping.m[static_cast<std::size_t>(i)] = whole(i / 3, i % 3) / whole(2, 2);
        return full_mapping;
    }
    [[nodiscard]] cv::Matx33d to_small(const Mapping& mapping) const {
        return grow().inv() * cv::Matx33d(mapping.m.data()) * grow();
    }
    [[nodiscard]] double in_full(double length) const { return length * std::max(scale[0], scale[1]); }

    /// How far the points lie from where the still has them, where that is no movement.
    [[nodiscard]] std::optional<double> unmoved(const Tracks& tracks) const {
        std::vector<double> moves;
        for (const Track& track : tracks.found)
            moves.push_back(cv::norm(track.picture - track.still));
        if (static_cast<int>(moves.size()) < kLeastInliers ||
            static_cast<double>(moves.size()) < kStillShare * tracks.visible)
            return std::nullopt;
        const double most = percentile(std::move(moves), 0.8);
        return most <= kStill ? std::optional(most) : std::nullopt;
    }

    [[nodiscard]] Fit still_fit(const Tracks& tracks, double moved) const {
        ShapeFit shape;
        shape.verdict = Verdict::fits;
        shape.loss = Loss::none;
        shape.inliers = static_cast<int>(tracks.found.size());
        shape.share = static_cast<double>(tracks.found.size()) / std::max(1, tracks.visible);
        shape.residual =
            in_full(moved / 1.79);  // 80 % of a plane's normal distribution lie within 1.79 of it
        shape.error = in_full(std::max(moved, 0.1));
        return {true, Mapping{}, std::vector<ShapeFit>(shapes.size(), shape)};
    }

    [[nodiscard]] bool enough(const Located& located) const {
        const int agreeing = count_agreeing(located);
        return agreeing >= kLeastInliers && agreeing >= kLeastShare * located.tracks.visible;
    }

    /// How far two mappings are apart over the still's corners.
    [[nodiscard]] double apart(const cv::Matx33d& a, const cv::Matx33d& b) const {
        double most = 0;
        for (const cv::Point2d& corner : {cv::Point2d(0, 0), cv::Point2d(size.width, 0),
                                          cv::Point2d(0, size.height), cv::Point2d(size.width, size.height)})
            most = std::max(most, cv::norm(mapped(a, corner) - mapped(b, corner)));
        return most;
    }

    [[nodiscard]] std::optional<Located> locate(const cv::Mat& picture, cv::Matx33d guess,
                                                Tracks tracks) const {
        for (int round = 1;; ++round) {
            const std::optional<cv::Matx33d> mapping = agreed(tracks.found, kAgree);
            if (!mapping) return std::nullopt;
            Located located{std::move(tracks), *mapping};
            if (!enough(located)) return std::nullopt;
            if (round == kMostRounds || apart(guess, *mapping) <= kFarGuess) return located;
            guess = *mapping;
            tracks = tracker.follow(picture, guess, 1);
        }
    }

    [[nodiscard]] ShapeFit lost(Loss loss) const {
        ShapeFit shape;
        shape.loss = loss;
        return shape;
    }
    [[nodiscard]] Fit all_lost(Loss loss) const {
        return {false, std::nullopt, std::vector<ShapeFit>(shapes.size(), lost(loss))};
    }

    /// By all points alike; or by those near the shape, where these say plainly that they move otherwise: as
    /// one plane, which bodies do not.
    [[nodiscard]] std::optional<Polished> best(const Located& located,
                                               const std::vector<cv::Point2f>& shape) const {
        std::optional<Polished> all = polish(located.tracks.found, located.mapping, shape, std::nullopt);
        const cv::Rect2f box = cv::Rect2f(cv::boundingRect(shape));
        const double reach = std::max(kReach * std::hypot(box.width, box.height),
                                      kLeastReach * std::max(size.width, size.height));
        std::optional<Polished> near = polish(located.tracks.found, located.mapping, shape, reach);
        if (!near || !all) return all;
        const bool plainly = near->error < kPlainly * all->error && near->scatter < kAsSharp * all->scatter;
        return plainly ? near : all;
    }

    [[nodiscard]] ShapeFit fit_of(const Located& located, const std::vector<cv::Point2f>& shape) const {
        const std::optional<Polished> polished = best(located, shape);
        if (!polished) return lost(Loss::no_match);
        ShapeFit fit;
        fit.inliers = polished->inliers;
        fit.share = static_cast<double>(polished->inliers) / std::max(1, located.tracks.visible);
        fit.residual = in_full(polished->scatter);
        fit.error = in_full(polished->error);
        fit.mapping = to_full(polished->mapping);
        const bool view = std::all_of(shape.begin(), shape.end(), [&](const cv::Point2f& point) {
            return plausible(polished->mapping, point);
        });
        if (!view)
            fit.loss = Loss::no_view;
        else if (fit.inliers < kLeastInliers / 2)
            fit.loss = Loss::no_match;
        else if (!(fit.error <= largest_error(full.width, full.height)))
            fit.loss = Loss::uncertain;
        else
            fit.loss = Loss::none;
        fit.verdict = fit.loss == Loss::none ? Verdict::fits : Verdict::lost;
        return fit;
    }

    /// How well it is known that the camera did not move, where it did not: neither the shapes nor the middle
    /// of the picture go anywhere by the scene as a whole. What moves near a shape is a body then: a camera
    /// that moves aside moves everything.
    [[nodiscard]] std::optional<double> camera_stays(const Located& located) const {
        std::vector<cv::Point2f> places;
        for (const auto& shape : shapes)
            places.insert(places.end(), shape.begin(), shape.end());
        for (const float x : {0.25F, 0.75F})
            for (const float y : {0.25F, 0.75F})
                places.emplace_back(x * static_cast<float>(size.width), y * static_cast<float>(size.height));
        const auto whole = polish(located.tracks.found, located.mapping, places, std::nullopt);
        if (!whole || whole->inliers < kLeastInliers) return std::nullopt;
        double most = 0;
        for (const cv::Point2f& place : places)
            most = std::max(most, cv::norm(mapped(whole->mapping, place) - cv::Point2d(place)));
        return most <= kStill ? std::optional(most) : std::nullopt;
    }

    [[nodiscard]] Fit fit(const cv::Mat& picture, const std::optional<Mapping>& near) const {
        const cv::Matx33d guess = near ? to_small(*near) : cv::Matx33d::eye();
        const bool unmoving = apart(guess, cv::Matx33d::eye()) <= kStill;
        Tracks tracks = tracker.follow(picture, guess, near ? 2 : 3);
        if (unmoving) {
            if (const std::optional<double> moved = unmoved(tracks)) return still_fit(tracks, *moved);
        }
        std::optional<Located> located = locate(picture, guess, std::move(tracks));
        if (!located) {
            const std::optional<cv::Matx33d> found = matcher.find(picture);
            if (!found) return all_lost(Loss::no_match);
            located = locate(picture, *found, tracker.follow(picture, *found, 2));
        }
        if (!located) return all_lost(Loss::no_match);
        if (const std::optional<double> moved = camera_stays(*located))
            return still_fit(located->tracks, *moved);
        Fit fit{false, to_full(located->mapping), {}};
        for (const auto& shape : shapes)
            fit.shapes.push_back(fit_of(*located, shape));
        return fit;
    }

    const cv::Size size, full;  ///< of the small and of the full picture
    const std::array<double, 2> scale;
    const std::vector<std::vector<cv::Point2f>> shapes;  ///< in small pixels
    const cv::Mat even;
    const std::vector<cv::Point2f> corners;
    const Tracker tracker;
    const Matcher matcher;
};

Follower::Follower(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
Follower::~Follower() = default;
Follower::Follower(Follower&&) noexcept = default;
Follower& Follower::operator=(Follower&&) noexcept = default;

base::Result<Follower> Follower::make(const GreyPicture& still, std::vector<std::vector<Point>> shapes) {
    PLUMBMARK_CHECK(!shapes.empty());
    for (const auto& shape : shapes)
        PLUMBMARK_CHECK(!shape.empty());
    if (!usable(still))
        return base::Error{
            base::Category::bad_input,
            base::worded(
                "The picture that the drawing was made on cannot be read, so it cannot be followed."),
            ""};
    std::unique_ptr<Inner> inner;
    on_one_thread([&] { inner = std::make_unique<Inner>(still, std::move(shapes)); });
    if (inner->corners.size() < kLeastCorners)
        return base::Error{
            base::Category::bad_input,
            base::worded(
                "The picture that the drawing was made on has too little detail to be found again in "
                "other pictures. Draw on a frame that shows more of the hall."),
            ""};
    return Follower(std::move(inner));
}

Fit Follower::fit(const GreyPicture& picture, const std::optional<Mapping>& near) const {
    const bool same_size = usable(picture) && picture.full_width == inner_->full.width &&
                           picture.full_height == inner_->full.height && picture.width == inner_->size.width;
    if (!same_size) return inner_->all_lost(Loss::no_picture);
    Fit fit;
    on_one_thread([&] { fit = inner_->fit(evened(picture), near); });
    return fit;
}

}  // namespace plumbmark::follow
