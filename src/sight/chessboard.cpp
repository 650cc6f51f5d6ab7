#include "sight/chessboard.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/worded.h"
#include "sight/internal/lens_corners.h"
#include "sight/internal/refused.h"

namespace plumbmark::sight {
namespace {

using base::Category;
using base::Error;
using base::worded;

constexpr int kFewest = 3, kMost = 60;

Error stopped() {
    return {Category::cancelled, worded("Looking for the board was stopped."), {}};
}

/// With y down, rows are clockwise of columns in pictures; not so in a mirror.
bool mirrored(const Grid& grid) {
    const Pixel first = grid.corner(0, 0), right = grid.corner(grid.across - 1, 0),
                down = grid.corner(0, grid.down - 1);
    return (right.x - first.x) * (down.y - first.y) < (right.y - first.y) * (down.x - first.x);
}

Grid rows_reversed(Grid grid) {
    for (int row = 0; row < grid.down; ++row)
        std::reverse(grid.at.begin() + row * grid.across, grid.at.begin() + (row + 1) * grid.across);
    return grid;
}

Grid half_turned(Grid grid) {
    std::reverse(grid.at.begin(), grid.at.end());
    return grid;
}

Grid quarter_turned(const Grid& grid) {
    Grid out{grid.down, grid.across, {}};
    for (int row = 0; row < out.down; ++row)
        for (int column = 0; column < out.across; ++column)
            out.at.push_back(grid.corner(grid.across - 1 - row, column));
    return out;
}

/// Whether the square between the first corner and its neighbours is of the dark colour.
bool begins_dark(const GreyPicture& picture, const Grid& grid) {
    std::array<double, 2> sums{}, counts{};
    for (int row = 0; row + 1 < grid.down; ++row)
        for (int column = 0; column + 1 < grid.across; ++column) {
            Pixel middle;
            for (const auto& [right, down] : {std::pair{0, 0}, {1, 0}, {0, 1}, {1, 1}}) {
                middle.x += grid.corner(column + right, row + down).x / 4;
                middle.y += grid.corner(column + right, row + down).y / 4;
            }
            const int x = std::clamp(static_cast<int>(middle.x), 0, picture.width - 1);
            const int y = std::clamp(static_cast<int>(middle.y), 0, picture.height - 1);
            const auto colour = static_cast<std::size_t>((row + column) % 2);
            sums[colour] += picture.grey[y * picture.stride + x];
            counts[colour] += 1;
        }
    return sums[0] / counts[0] < sums[1] / counts[1];
}

/// In the order that find_board() promises.
Grid in_order(const GreyPicture& picture, Grid grid) {
    if (mirrored(grid)) grid = rows_reversed(std::move(grid));
    std::vector<Grid> ways{grid, half_turned(grid)};
    if (grid.across == grid.down) {
        ways.push_back(quarter_turned(ways[0]));
        ways.push_back(quarter_turned(ways[1]));
    }
    const auto light = [&](const Grid& way) { return !begins_dark(picture, way); };
    if (!std::all_of(ways.begin(), ways.end(), light))
        ways.erase(std::remove_if(ways.begin(), ways.end(), light), ways.end());
    return *std::min_element(ways.begin(), ways.end(), [](const Grid& a, const Grid& b) {
        return a.at.front().x + a.at.front().y < b.at.front().x + b.at.front().y;
    });
}

/// Why there is none: another board, or a part of this one, may be there.
Error why_none(const GreyPicture& picture, const Board& board) {
    const auto other = of_any_size(picture);
    if (!other)
        return refused(worded(
            "No board with {} x {} inner corners is seen. Keep all of it in the picture, with a bright "
            "margin around it, sharp and evenly lit.",
            board.across, board.down));
    const int longer = std::max(other->across, other->down), shorter = std::min(other->across, other->down);
    if (longer > std::max(board.across, board.down) || shorter > std::min(board.across, board.down))
        return refused(
            worded("A board with {} x {} inner corners is seen, and one with {} x {} was looked for. Inner "
                   "corners are where four squares meet: one fewer than squares, each way.",
                   longer, shorter, board.across, board.down));
    return refused(
        worded("Only {} x {} of the board's {} x {} inner corners are seen: the rest is cut off by the "
               "picture's edge, covered, or in glare; or the board has fewer.",
               longer, shorter, std::max(board.across, board.down), std::min(board.across, board.down)));
}

base::Result<void> look_over(const GreyPicture& picture, const Board& board) {
    if (board.across < kFewest || board.down < kFewest || board.across > kMost || board.down > kMost)
        return refused(
            worded("A board has {} to {} inner corners each way; this one is said to have {} x {}.", kFewest,
                   kMost, board.across, board.down));
    if (!(board.square > 0) || !std::isfinite(board.square))
        return refused(worded("The board's squares have no size. Measure a row of them and divide."));
    if (picture.grey == nullptr || picture.width < 1 || picture.height < 1 || picture.stride < picture.width)
        return refused(worded("The picture has no size."));
    return {};
}

}  // namespace

std::vector<std::uint8_t> grey_of(const Pixels& picture) {
    const std::size_t count =
        static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height);
    std::vector<std::uint8_t> grey(count);
    for (std::size_t i = 0; i < count; ++i) {
        const std::uint8_t* at = picture.rgba + 4 * i;
        grey[i] = static_cast<std::uint8_t>((13933 * at[0] + 46871 * at[1] + 4732 * at[2] + 32768) >> 16);
    }
    return grey;
}

bool tells_half_turn(const Board& board) {
    return (board.across + board.down) % 2 != 0;
}

std::vector<Vec3> places_of(const Board& board) {
    std::vector<Vec3> places;
    for (int row = 0; row < board.down; ++row)
        for (int column = 0; column < board.across; ++column)
            places.push_back({column * board.square, row * board.square, 0});
    return places;
}

base::Result<std::vector<Pixel>> find_board(const GreyPicture& picture, const Board& board,
                                            const std::stop_token& stop) {
    if (auto good = look_over(picture, board); !good) return good.error();
    auto grid = by_model(picture, board, stop);
    const bool modelled = grid.has_value();
    if (!grid && !stop.stop_requested()) grid = by_quads(picture, board);
    if (stop.stop_requested()) return stopped();
    if (!grid) return why_none(picture, board);
    if (narrowest(*grid) < kSmallestSquare)
        return refused(worded("The board's squares are less than {} pixels wide. Take it from nearer.",
                              static_cast<int>(kSmallestSquare)));
    Grid other = refined(picture, *grid, window_of(*grid));
    // Where squares are small gradients say more, where they are large the finder's long edges.
    if (!modelled || scatter(other) < scatter(*grid)) grid = std::move(other);
    return in_order(picture, std::move(*grid)).at;
}

}  // namespace plumbmark::sight
