#include "trials/patch.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace plumbmark::trials {
namespace {

using sight::Pixel;

constexpr double kBehind = 70;  ///< grey level behind things
constexpr int kLike = 16;       ///< patches of the same kind from which the scatter is taken

/// A patch whose pixel (0, 0) is this pixel of the picture, so that 'truth' lies about its middle.
struct Patch {
    cv::Mat grey;
    int left = 0, top = 0;
};

template <class Cover>
Patch drawn(Pixel truth, int half, const Looks& looks, Dice& dice, const Cover& covered) {
    Patch out;
    out.left = static_cast<int>(std::floor(truth.x)) - half;
    out.top = static_cast<int>(std::floor(truth.y)) - half;
    cv::Mat sharp(2 * half + 1, 2 * half + 1, CV_32F);
    for (int y = 0; y < sharp.rows; ++y)
        for (int x = 0; x < sharp.cols; ++x)
            sharp.at<float>(y, x) =
                static_cast<float>(kBehind + looks.contrast * covered(out.left + x + 0.5 - truth.x,
                                                                      out.top + y + 0.5 - truth.y));
    cv::Mat blurred;
    cv::GaussianBlur(sharp, blurred, {0, 0}, looks.blur, looks.blur, cv::BORDER_REPLICATE);
    for (int y = 0; y < blurred.rows; ++y)
        for (int x = 0; x < blurred.cols; ++x)
            blurred.at<float>(y, x) += static_cast<float>(dice.normal(looks.noise));
    blurred.convertTo(out.grey, CV_8U);
    return out;
}

double part(double distance) {
    return std::clamp(0.5 + distance, 0.0, 1.0);
}

std::optional<Pixel> corner_in_patch(Pixel truth, const std::array<Pixel, 2>& edges, const Looks& looks,
                                     Dice& dice) {
    constexpr int kHalf = 22, kWindow = 8;
    const double turn = edges[0].x * edges[1].y - edges[0].y * edges[1].x > 0 ? 1 : -1;
    const Patch patch = drawn(truth, kHalf, looks, dice, [&](double x, double y) {
        const double off_first = turn * (edges[0].x * y - edges[0].y * x),
                     off_second = turn * (edges[1].y * x - edges[1].x * y);
        return part(std::min(off_first, off_second));
    });
    // OpenCV counts from the middle of a pixel, we from its corner.
    std::vector<cv::Point2f> at{{static_cast<float>(truth.x + dice.normal(looks.hand) - patch.left - 0.5),
                                 static_cast<float>(truth.y + dice.normal(looks.hand) - patch.top - 0.5)}};
    const cv::Point2f begun = at[0];
    cv::cornerSubPix(patch.grey, at, {kWindow, kWindow}, {-1, -1},
                     {cv::TermCriteria::EPS + cv::TermCriteria::COUNT, 40, 1e-3});
    if (!(cv::norm(at[0] - begun) < kWindow) || at[0] == begun) return std::nullopt;
    return Pixel{at[0].x + patch.left + 0.5, at[0].y + patch.top + 0.5};
}

double root_mean(double squares, int n) {
    // Of both coordinates, and not below what eight bits and rounding leave.
    return std::max(0.05, std::sqrt(squares / (2.0 * n)));
}

Pixel elsewhere(Pixel at, Dice& dice) {
    return {std::floor(at.x) + dice.even(0, 1), std::floor(at.y) + dice.even(0, 1)};
}

}  // namespace

std::optional<Found> find_corner(Pixel truth, const std::array<Pixel, 2>& towards, const Looks& looks,
                                 Dice& dice) {
    std::array<Pixel, 2> edges = towards;
    for (Pixel& edge : edges) {
        const double length = std::hypot(edge.x, edge.y);
        edge = {edge.x / length, edge.y / length};
    }
    if (std::abs(edges[0].x * edges[1].y - edges[0].y * edges[1].x) < 0.35) return std::nullopt;
    const auto at = corner_in_patch(truth, edges, looks, dice);
    if (!at) return std::nullopt;
    double squares = 0;
    int n = 0;
    for (int i = 0; i < kLike; ++i) {
        const Pixel there = elsewhere(truth, dice);
        const auto found = corner_in_patch(there, edges, looks, dice);
        if (!found) continue;
        squares += std::pow(found->x - there.x, 2) + std::pow(found->y - there.y, 2);
        ++n;
    }
    if (n < kLike - 1) return std::nullopt;
    return Found{*at, root_mean(squares, n)};
}

std::optional<Pixel> find_marker(Pixel truth, Pixel smear, double radius, const Looks& looks, Dice& dice) {
    const double reach = std::hypot(smear.x, smear.y);
    const int half = static_cast<int>(std::ceil(radius + reach / 2 + 3 * looks.blur + 5));
    constexpr int kMoments = 6;
    const Patch patch = drawn(truth, half, looks, dice, [&](double x, double y) {
        double covered = 0;
        for (int i = 0; i < kMoments; ++i) {
            const double when = (i + 0.5) / kMoments - 0.5;
            const double off_x = x - when * smear.x, off_y = y - when * smear.y;
            covered += part(radius - std::sqrt(off_x * off_x + off_y * off_y)) / kMoments;
        }
        return covered;
    });
    // What is behind it, from the patch's border; what is over it by more than the noise belongs to it.
    std::vector<double> border;
    const int last = patch.grey.rows - 1;
    for (int i = 0; i <= last; ++i)
        for (const auto& [y, x] : {std::pair{0, i}, std::pair{last, i}, std::pair{i, 0}, std::pair{i, last}})
            border.push_back(patch.grey.at<unsigned char>(y, x));
    std::nth_element(border.begin(), border.begin() + static_cast<std::ptrdiff_t>(border.size() / 2),
                     border.end());
    const double behind = border[border.size() / 2];
    double sum = 0, sum_x = 0, sum_y = 0;
    for (int y = 0; y <= last; ++y)
        for (int x = 0; x <= last; ++x) {
            const double over = patch.grey.at<unsigned char>(y, x) - behind;
            if (over < 3 * looks.noise) continue;
            sum += over;
            sum_x += over * (x + 0.5);
            sum_y += over * (y + 0.5);
        }
    if (!(sum > looks.contrast)) return std::nullopt;
    return Pixel{patch.left + sum_x / sum, patch.top + sum_y / sum};
}

double marker_scatter(Pixel smear, double radius, const Looks& looks, Dice& dice) {
    double squares = 0;
    for (int i = 0; i < kLike; ++i) {
        const Pixel there = elsewhere({50, 50}, dice);
        const auto found = find_marker(there, smear, radius, looks, dice);
        const double off_x = found ? found->x - there.x : radius, off_y = found ? found->y - there.y : radius;
        squares += off_x * off_x + off_y * off_y;
    }
    return root_mean(squares, kLike);
}

}  // namespace plumbmark::trials
