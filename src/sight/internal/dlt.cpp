#include "sight/internal/dlt.h"

#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/core.hpp>

namespace plumbmark::sight {
namespace {

/// The unit vector that the rows of a matrix see least; nothing where two are seen alike little.
std::optional<cv::Mat> least_seen(const cv::Mat& rows) {
    cv::SVD svd(rows, cv::SVD::FULL_UV);
    const int n = rows.cols;
    const int have = svd.w.rows;
    const double last = have >= n ? svd.w.at<double>(n - 1) : 0, before = svd.w.at<double>(n - 2);
    if (!(before > 1e-9 * svd.w.at<double>(0)) || last > 0.99 * before) return std::nullopt;
    return svd.vt.row(n - 1).clone();
}

/// Similarity that brings points about their middle to a mean distance of the root of the dimension.
template <std::size_t N>
cv::Mat similarity(const std::vector<std::array<double, N>>& points) {
    std::array<double, N> middle{};
    const auto count = static_cast<double>(points.size());
    for (const auto& point : points)
        for (std::size_t i = 0; i < N; ++i)
            middle[i] += point[i] / count;
    double mean = 0;
    for (const auto& point : points) {
        double square = 0;
        for (std::size_t i = 0; i < N; ++i)
            square += (point[i] - middle[i]) * (point[i] - middle[i]);
        mean += std::sqrt(square) / count;
    }
    const double by = std::sqrt(static_cast<double>(N)) / (mean > 0 ? mean : 1);
    cv::Mat out = cv::Mat::eye(static_cast<int>(N) + 1, static_cast<int>(N) + 1, CV_64F);
    for (std::size_t i = 0; i < N; ++i) {
        out.at<double>(static_cast<int>(i), static_cast<int>(i)) = by;
        out.at<double>(static_cast<int>(i), static_cast<int>(N)) = -by * middle[i];
    }
    return out;
}

}  // namespace

std::optional<Matrix34> projection_matrix(const std::vector<Vec3>& places, const std::vector<Pixel>& seen) {
    if (places.size() < 6 || places.size() != seen.size()) return std::nullopt;
    std::vector<std::array<double, 3>> in_space;
    std::vector<std::array<double, 2>> in_picture;
    for (std::size_t i = 0; i < places.size(); ++i) {
        in_space.push_back({places[i].x, places[i].y, places[i].z});
        in_picture.push_back({seen[i].x, seen[i].y});
    }
    const cv::Mat space = similarity<3>(in_space), picture = similarity<2>(in_picture);
    cv::Mat rows(static_cast<int>(2 * places.size()), 12, CV_64F, cv::Scalar(0));
    for (std::size_t n = 0; n < places.size(); ++n) {
        const cv::Mat at = space * (cv::Mat_<double>(4, 1) << places[n].x, places[n].y, places[n].z, 1);
        const cv::Mat uv = picture * (cv::Mat_<double>(3, 1) << seen[n].x, seen[n].y, 1);
        const int r = static_cast<int>(2 * n);
        for (int k = 0; k < 4; ++k) {
            const double p = at.at<double>(k);
            rows.at<double>(r, k) = p;
            rows.at<double>(r, 8 + k) = -uv.at<double>(0) * p;
            rows.at<double>(r + 1, 4 + k) = p;
            rows.at<double>(r + 1, 8 + k) = -uv.at<double>(1) * p;
        }
    }
    const auto found = least_seen(rows);
    if (!found) return std::nullopt;
    const cv::Mat matrix = picture.inv() * found->reshape(1, 3) * space;
    Matrix34 out{};
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 4; ++j)
            out[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)] = matrix.at<double>(i, j);
    return out;
}

std::optional<Vec3> meeting_point(const Matrix34& first, Pixel in_first, const Matrix34& second,
                                  Pixel in_second) {
    cv::Mat rows(4, 4, CV_64F);
    const auto fill = [&](int r, const Matrix34& p, Pixel at) {
        for (std::size_t k = 0; k < 4; ++k) {
            rows.at<double>(r, static_cast<int>(k)) = at.x * p[2][k] - p[0][k];
            rows.at<double>(r + 1, static_cast<int>(k)) = at.y * p[2][k] - p[1][k];
        }
    };
    fill(0, first, in_first);
    fill(2, second, in_second);
    cv::SVD svd(rows, cv::SVD::FULL_UV);
    const cv::Mat x = svd.vt.row(3);
    const double w = x.at<double>(3);
    if (!(std::abs(w) > 1e-12)) return std::nullopt;
    return Vec3{x.at<double>(0) / w, x.at<double>(1) / w, x.at<double>(2) / w};
}

std::optional<Camera> camera_of(const Matrix34& matrix) {
    cv::Matx33d left, k, turn;
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
            left(i, j) = matrix[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
    // The sign with which space keeps its handedness.
    const double sign = cv::determinant(left) < 0 ? -1 : 1;
    left = sign * left;
    if (!(cv::determinant(left) > 0)) return std::nullopt;
    cv::RQDecomp3x3(left, k, turn);
    for (int i = 0; i < 3; ++i) {  // focal lengths are positive
        if (k(i, i) >= 0) continue;
        for (int j = 0; j < 3; ++j) {
            k(j, i) = -k(j, i);
            turn(i, j) = -turn(i, j);
        }
    }
    if (!(k(2, 2) > 0) || !(k(0, 0) > 0) || !(k(1, 1) > 0)) return std::nullopt;
    const cv::Vec3d last(matrix[0][3], matrix[1][3], matrix[2][3]);
    const cv::Vec3d shift = k.inv() * (sign * last);
    Camera out;
    out.lens.fx = k(0, 0) / k(2, 2);
    out.lens.fy = k(1, 1) / k(2, 2);
    out.lens.skew = k(0, 1) / k(2, 2);
    out.lens.cx = k(0, 2) / k(2, 2);
    out.lens.cy = k(1, 2) / k(2, 2);
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
            out.pose.turn[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)] = turn(i, j);
    out.pose.shift = {shift[0], shift[1], shift[2]};
    return out;
}

Matrix34 matrix_of(const Pose& pose) {
    Matrix34 out{};
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            out[i][j] = pose.turn[i][j];
    out[0][3] = pose.shift.x;
    out[1][3] = pose.shift.y;
    out[2][3] = pose.shift.z;
    return out;
}

}  // namespace plumbmark::sight
