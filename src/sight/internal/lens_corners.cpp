#include "sight/internal/lens_corners.h"

#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

namespace plumbmark::sight {
namespace {

/// A plane grid through a lens differs from one without distortion by less than this part of a square; one in
/// which a corner was taken for another does not.
constexpr double kUneven = 0.2;

cv::Mat matrix_of(const GreyPicture& picture) {
    // OpenCV's matrices do not know read-only pixels; the finders copy before they change anything.
    return {picture.height, picture.width, CV_8UC1, const_cast<std::uint8_t*>(picture.grey),
            static_cast<std::size_t>(picture.stride)};
}

Grid grid_of(int across, int down, const std::vector<cv::Point2f>& corners) {
    Grid grid{across, down, {}};
    // OpenCV's first pixel has its middle at 0.
    for (const cv::Point2f& at : corners)
        grid.at.push_back({static_cast<double>(at.x) + 0.5, static_cast<double>(at.y) + 0.5});
    return grid;
}

std::vector<cv::Point2f> points_of(const Grid& grid) {
    std::vector<cv::Point2f> points;
    for (const Pixel& at : grid.at)
        points.emplace_back(static_cast<float>(at.x - 0.5), static_cast<float>(at.y - 0.5));
    return points;
}

/// Finders at times leave out a row of squares in one part of the board.
bool is_even(const Grid& grid) {
    std::vector<cv::Point2f> flat;
    for (int row = 0; row < grid.down; ++row)
        for (int column = 0; column < grid.across; ++column)
            flat.emplace_back(static_cast<float>(column), static_cast<float>(row));
    const std::vector<cv::Point2f> seen = points_of(grid);
    const cv::Mat plane = cv::findHomography(flat, seen);
    if (plane.empty()) return false;
    std::vector<cv::Point2f> expected;
    cv::perspectiveTransform(flat, expected, plane);
    double most = 0;
    for (std::size_t i = 0; i < seen.size(); ++i)
        most = std::max(most, std::hypot(static_cast<double>(seen[i].x - expected[i].x),
                                         static_cast<double>(seen[i].y - expected[i].y)));
    return most < kUneven * narrowest(grid);
}

/// The model's finder throws OpenCV's dice, so that corners would move by what this thread did before.
class SameDice {
  public:
    SameDice() : before_(cv::theRNG()) { cv::theRNG() = cv::RNG(1); }
    ~SameDice() { cv::theRNG() = before_; }
    SameDice(const SameDice&) = delete;
    SameDice& operator=(const SameDice&) = delete;

  private:
    cv::RNG before_;
};

std::optional<Grid> model(const cv::Mat& grey, cv::Size size, int flags) {
    const SameDice dice;
    std::vector<cv::Point2f> corners;
    cv::Mat meta;
    try {
        if (!cv::findChessboardCornersSB(grey, size, corners, flags, meta)) return std::nullopt;
        if (meta.total() != corners.size()) return std::nullopt;
        Grid grid = grid_of(meta.cols, meta.rows, corners);
        return is_even(grid) ? std::optional<Grid>(std::move(grid)) : std::nullopt;
    } catch (const cv::Exception&) {
        return std::nullopt;  // a picture too small for a board of this size
    }
}

double distance(Pixel a, Pixel b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

/// The squares of third differences, x and y, of four corners in a row.
double third_difference(Pixel a, Pixel b, Pixel c, Pixel d) {
    return std::pow(d.x - 3 * c.x + 3 * b.x - a.x, 2) + std::pow(d.y - 3 * c.y + 3 * b.y - a.y, 2);
}

}  // namespace

std::optional<Grid> by_model(const GreyPicture& picture, const Board& board, const std::stop_token& stop) {
    const cv::Mat grey = matrix_of(picture);
    constexpr int kLong = cv::CALIB_CB_EXHAUSTIVE;
    for (const int flags : {0, kLong, cv::CALIB_CB_NORMALIZE_IMAGE | kLong}) {
        if (stop.stop_requested()) break;
        if (auto grid = model(grey, {board.across, board.down}, flags)) return grid;
    }
    return std::nullopt;
}

std::optional<Grid> by_quads(const GreyPicture& picture, const Board& board) {
    std::vector<cv::Point2f> corners;
    try {
        if (!cv::findChessboardCorners(matrix_of(picture), {board.across, board.down}, corners,
                                       cv::CALIB_CB_ADAPTIVE_THRESH | cv::CALIB_CB_NORMALIZE_IMAGE))
            return std::nullopt;
    } catch (const cv::Exception&) {
        return std::nullopt;
    }
    Grid grid = grid_of(board.across, board.down, corners);
    return is_even(grid) ? std::optional<Grid>(std::move(grid)) : std::nullopt;
}

std::optional<Grid> of_any_size(const GreyPicture& picture) {
    return model(matrix_of(picture), {3, 3}, cv::CALIB_CB_NORMALIZE_IMAGE | cv::CALIB_CB_LARGER);
}

Grid refined(const GreyPicture& picture, Grid grid, int half) {
    std::vector<cv::Point2f> corners = points_of(grid);
    cv::cornerSubPix(matrix_of(picture), corners, {half, half}, {-1, -1},
                     {cv::TermCriteria::EPS | cv::TermCriteria::COUNT, 100, 1e-4});
    return grid_of(grid.across, grid.down, corners);
}

int window_of(const Grid& grid) {
    return std::max(2, static_cast<int>(narrowest(grid) / 3));
}

double narrowest(const Grid& grid) {
    double least = 1e300;
    for (int row = 0; row < grid.down; ++row)
        for (int column = 0; column < grid.across; ++column) {
            const Pixel at = grid.corner(column, row);
            if (column + 1 < grid.across) least = std::min(least, distance(at, grid.corner(column + 1, row)));
            if (row + 1 < grid.down) least = std::min(least, distance(at, grid.corner(column, row + 1)));
        }
    return least;
}

double scatter(const Grid& grid) {
    double sum = 0, count = 0;
    for (int row = 0; row < grid.down; ++row)
        for (int column = 0; column < grid.across; ++column) {
            const auto add = [&](int right, int down) {
                if (column + 3 * right >= grid.across || row + 3 * down >= grid.down) return;
                sum += third_difference(grid.corner(column, row), grid.corner(column + right, row + down),
                                        grid.corner(column + 2 * right, row + 2 * down),
                                        grid.corner(column + 3 * right, row + 3 * down));
                count += 2;
            };
            add(1, 0);
            add(0, 1);
        }
    // 1, 3, 3 and 1, squared and added up.
    return std::sqrt(sum / std::max(1.0, count) / 20);
}

}  // namespace plumbmark::sight
