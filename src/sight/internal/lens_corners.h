// Corners of a chessboard by OpenCV's finders, and which of several answers lies most evenly.
#pragma once

#include <optional>
#include <stop_token>
#include <vector>

#include "sight/chessboard.h"

namespace plumbmark::sight {

/// A board's inner corners, row by row, in any of the orders that finders use.
struct Grid {
    int across = 0, down = 0;
    std::vector<Pixel> at;
    [[nodiscard]] Pixel corner(int column, int row) const {
        return at[static_cast<std::size_t>(row * across + column)];
    }
};

/// By the board's own finder of Duda and Frese (findChessboardCornersSB), with the settings that find it:
/// those that change the picture least first. Nothing where there is none, or where 'stop' was asked for.
[[nodiscard]] std::optional<Grid> by_model(const GreyPicture& picture, const Board& board,
                                           const std::stop_token& stop);
/// By the older finder of quadrangles (findChessboardCorners), to about a pixel.
[[nodiscard]] std::optional<Grid> by_quads(const GreyPicture& picture, const Board& board);
/// Of whatever size there is, from three corners each way.
[[nodiscard]] std::optional<Grid> of_any_size(const GreyPicture& picture);

/// Each corner put where the gradients around it say (W. Förstner and E. Gülch, 'A fast operator for
/// detection and precise location of distinct points, corners and centres of circular features', 1987;
/// cornerSubPix), in windows of 2 * half + 1 pixels.
[[nodiscard]] Grid refined(const GreyPicture& picture, Grid grid, int half);
/// The window that holds the edges of one corner alone: a third of the way to the next one.
[[nodiscard]] int window_of(const Grid& grid);

/// Between neighbouring corners where they are closest, in pixels.
[[nodiscard]] double narrowest(const Grid& grid);
/// How far corners scatter, in pixels: by their third differences along rows and columns, in which slant and
/// distortion have hardly a part.
[[nodiscard]] double scatter(const Grid& grid);

}  // namespace plumbmark::sight
