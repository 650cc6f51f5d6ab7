#include "sight/internal/first_guess.h"

#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/core.hpp>
#include <set>

#include "sight/internal/dlt.h"

namespace plumbmark::sight {
namespace {

/// A line a x + b y = c with a^2 + b^2 = 1, by total least squares; nothing of fewer than two points.
struct Line {
    double a = 0, b = 0, c = 0;
};

std::optional<Line> line_through(const std::vector<Pixel>& points) {
    if (points.size() < 2) return std::nullopt;
    const auto n = static_cast<double>(points.size());
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    for (const Pixel& point : points) {
        x += point.x / n;
        y += point.y / n;
    }
    for (const Pixel& point : points) {
        xx += (point.x - x) * (point.x - x);
        xy += (point.x - x) * (point.y - y);
        yy += (point.y - y) * (point.y - y);
    }
    if (!(xx + yy > 0)) return std::nullopt;
    const double angle = std::atan2(2 * xy, xx - yy) / 2;  // of the line
    const double a = -std::sin(angle), b = std::cos(angle);
    return Line{a, b, a * x + b * y};
}

std::optional<Pixel> meeting(const Line& one, const Line& other) {
    const double sine = one.a * other.b - one.b * other.a;
    if (std::abs(sine) < 0.02) return std::nullopt;  // nearly along each other: their meeting is nowhere
    return Pixel{(one.c * other.b - other.c * one.b) / sine, (one.a * other.c - other.a * one.c) / sine};
}

cv::Matx33d lens_matrix(const Sightings& sightings, double focal) {
    if (sightings.knowledge == LensKnowledge::measured) {
        const Lens& lens = sightings.lens;
        return {lens.fx, lens.skew, lens.cx, 0, lens.fy, lens.cy, 0, 0, 1};
    }
    return {focal, 0, sightings.width / 2.0, 0, focal, sightings.height / 2.0, 0, 0, 1};
}

Pose pose_of(const cv::Mat& axis, const cv::Mat& shift) {
    return {turning({axis.at<double>(0), axis.at<double>(1), axis.at<double>(2)}),
            {shift.at<double>(0), shift.at<double>(1), shift.at<double>(2)}};
}

void poses(const std::vector<cv::Point3d>& places, const std::vector<cv::Point2d>& seen,
           const cv::Matx33d& lens, const std::vector<double>& bends, int method, double focal,
           std::vector<Beginning>& out) {
    std::vector<cv::Mat> axes, shifts;
    try {
        cv::solvePnPGeneric(places, seen, lens, bends, axes, shifts, false,
                            static_cast<cv::SolvePnPMethod>(method));
    } catch (const cv::Exception&) {
        return;  // places that this method has no answer for; another one or another beginning may
    }
    for (std::size_t i = 0; i < axes.size(); ++i) {
        const Pose pose = pose_of(axes[i], shifts[i]);
        const bool finite = std::isfinite(pose.shift.x + pose.shift.y + pose.shift.z + pose.turn[0][0]);
        if (finite) out.push_back({pose, focal});
    }
}

/// Places of a plane in axes of their own, in which it is z = 0, and the way into them. OpenCV's method for
/// planes (4.6) is right there alone: of a deck's corners at z = 0.8 it gives poses that see them elsewhere.
struct LaidFlat {
    std::vector<cv::Point3d> places;
    Mat3 turn{};
    Vec3 middle;
};

LaidFlat laid_flat(const std::vector<Vec3>& places) {
    LaidFlat out;
    cv::Mat off(static_cast<int>(places.size()), 3, CV_64F);
    for (const Vec3& place : places)
        out.middle = out.middle + (1.0 / static_cast<double>(places.size())) * place;
    for (int i = 0; i < off.rows; ++i) {
        const Vec3 one = places[static_cast<std::size_t>(i)] - out.middle;
        off.at<double>(i, 0) = one.x;
        off.at<double>(i, 1) = one.y;
        off.at<double>(i, 2) = one.z;
    }
    cv::Mat singular, left, right;
    cv::SVD::compute(off, singular, left, right, cv::SVD::FULL_UV);
    const auto axis = [&](int i) {
        return Vec3{right.at<double>(i, 0), right.at<double>(i, 1), right.at<double>(i, 2)};
    };
    const Vec3 one = axis(0), other = axis(1), up = cross(one, other);
    out.turn = {{{one.x, one.y, one.z}, {other.x, other.y, other.z}, {up.x, up.y, up.z}}};
    for (const Vec3& place : places) {
        const Vec3 at = out.turn * (place - out.middle);
        out.places.emplace_back(at.x, at.y, 0);
    }
    return out;
}

void poses_of_plane(const std::vector<Vec3>& places, const std::vector<cv::Point2d>& seen,
                    const cv::Matx33d& lens, const std::vector<double>& bends, double focal,
                    std::vector<Beginning>& out) {
    const LaidFlat flat = laid_flat(places);
    std::vector<Beginning> own;
    poses(flat.places, seen, lens, bends, cv::SOLVEPNP_IPPE, focal, own);
    for (Beginning& one : own) {
        one.pose.turn = one.pose.turn * flat.turn;
        one.pose.shift = one.pose.shift - one.pose.turn * flat.middle;
        out.push_back(one);
    }
}

}  // namespace

std::vector<SeenPlace> corners_seen(const Sightings& sightings) {
    std::vector<SeenPlace> corners;
    std::set<std::size_t> have;
    for (const SeenPlace& one : sightings.points)
        if (have.insert(one.place).second) corners.push_back(one);
    const std::vector<SeenEdge>& edges = sightings.edges;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        for (std::size_t j = i + 1; j < edges.size(); ++j) {
            for (const std::size_t place : {edges[i].from, edges[i].to}) {
                if (place != edges[j].from && place != edges[j].to) continue;
                const auto one = line_through(edges[i].at), other = line_through(edges[j].at);
                const auto at = one && other ? meeting(*one, *other) : std::nullopt;
                if (at && have.insert(place).second) corners.push_back({place, *at, edges[i].standard});
            }
        }
    }
    return corners;
}

Vec3 extent(const std::vector<Vec3>& places) {
    Vec3 middle;
    for (const Vec3& place : places)
        middle = middle + (1.0 / static_cast<double>(places.size())) * place;
    cv::Mat all(static_cast<int>(std::max<std::size_t>(3, places.size())), 3, CV_64F, cv::Scalar(0));
    for (std::size_t i = 0; i < places.size(); ++i) {
        const Vec3 off = places[i] - middle;
        all.at<double>(static_cast<int>(i), 0) = off.x;
        all.at<double>(static_cast<int>(i), 1) = off.y;
        all.at<double>(static_cast<int>(i), 2) = off.z;
    }
    cv::Mat singular;
    cv::SVD::compute(all, singular);
    const double root = std::sqrt(static_cast<double>(std::max<std::size_t>(1, places.size())));
    return {singular.at<double>(0) / root, singular.at<double>(1) / root, singular.at<double>(2) / root};
}

std::vector<Beginning> first_guesses(const Sightings& sightings, const std::vector<SeenPlace>& corners) {
    std::vector<cv::Point3d> places;
    std::vector<cv::Point2d> seen;
    std::vector<Vec3> at;
    for (const SeenPlace& one : corners) {
        const Vec3 place = sightings.places[one.place].at;
        at.push_back(place);
        places.emplace_back(place.x, place.y, place.z);
        seen.emplace_back(one.at.x, one.at.y);
    }
    const Vec3 reach = extent(at);
    const bool flat = reach.z < 1e-6 * reach.x;
    const double longer = std::max(sightings.width, sightings.height);
    std::vector<double> focals{sightings.lens.fx}, bends;
    if (sightings.knowledge == LensKnowledge::measured)
        bends = {sightings.lens.k1, sightings.lens.k2, sightings.lens.p1, sightings.lens.p2,
                 sightings.lens.k3};
    else
        focals = {0.45 * longer, 0.65 * longer, 0.9 * longer, 1.3 * longer, 2 * longer, 3.2 * longer};
    std::vector<Beginning> out;
    for (const double focal : focals) {
        const cv::Matx33d lens = lens_matrix(sightings, focal);
        // Of a plane both: of a camera turned by exactly half a turn the first loses the axis's signs.
        if (flat) poses_of_plane(at, seen, lens, bends, focal, out);
        poses(places, seen, lens, bends, cv::SOLVEPNP_SQPNP, focal, out);
        // A step or a rung above a floor is nearly a plane: its two answers are worth a look as well.
        if (!flat && reach.z < 0.1 * reach.x) poses(places, seen, lens, bends, cv::SOLVEPNP_EPNP, focal, out);
    }
    // A matrix from six places or more knows nothing of lenses, and so finds a focal length of any size.
    if (!flat && sightings.knowledge != LensKnowledge::measured) {
        std::vector<Pixel> pixels;
        for (const SeenPlace& one : corners)
            pixels.push_back(one.at);
        const auto matrix = projection_matrix(at, pixels);
        const auto camera = matrix ? camera_of(*matrix) : std::nullopt;
        if (camera) out.push_back({camera->pose, std::sqrt(camera->lens.fx * camera->lens.fy)});
    }
    return out;
}

}  // namespace plumbmark::sight
