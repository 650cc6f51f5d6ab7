// The inner corners of a chessboard in a picture, to measure a lens with. Values; any thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "sight/camera.h"
#include "sight/faces.h"

namespace plumbmark::sight {

/// Somebody's grey pixels: rows from the top, 'stride' bytes from one to the next (at least the width).
struct GreyPicture {
    const std::uint8_t* grey = nullptr;
    int width = 0, height = 0;
    std::ptrdiff_t stride = 0;
};

/// The luma of ITU-R BT.709 of each pixel, row by row without gaps.
[[nodiscard]] std::vector<std::uint8_t> grey_of(const Pixels& picture);

/// A board is said by its inner corners, where four squares meet: one of 10 x 7 squares has 9 x 6.
struct Board {
    int across = 0, down = 0;  ///< inner corners, 3 to 60 each
    double square = 0;         ///< metres, a side of a square
    friend bool operator==(const Board&, const Board&) = default;
};

/// Whether half a turn of the board changes how it looks: only where one of 'across' and 'down' is even and
/// the other odd do the colours change over. A lens can be measured with any board, as each view has a pose
/// of its own and a board taken the other way round is the same board standing elsewhere. What needs two
/// views to mean the same corner by the same number, as two cameras that look at one board do, needs a board
/// that tells.
[[nodiscard]] bool tells_half_turn(const Board& board);

/// Where the inner corners are on the board: x along a row, y from row to row, z none; row by row, the first
/// at the origin. Seen from the printed side y is clockwise of x, as in pictures, so that z points into the
/// board.
[[nodiscard]] std::vector<Vec3> places_of(const Board& board);

/// Where the inner corners are in the picture, in the order of places_of(): never mirrored; of a board that
/// tells half a turn the square between the first corner and its neighbours is a dark one, so that all views
/// agree; of another one the first corner is, of those it could be, the one nearest to the picture's upper
/// left.
///
/// By A. Duda and U. Frese, 'Accurate detection and localization of checkerboard corners for calibration'
/// (BMVC 2018), as OpenCV has it; where that finds none by its older finder of quadrangles. Then the
/// gradients around each corner are asked as well, and of the two answers the one is kept whose corners lie
/// more evenly.
/// The same picture gives the same corners, whatever was looked for before.
///
/// Errors: bad_input, which says what is wrong: a board without measures; no board; one with other numbers of
/// corners, which is cut off by the picture's edge, covered, or another board; squares of less than
/// kSmallestSquare pixels. cancelled, between the finder's steps, each of which takes up to some seconds in
/// large pictures.
[[nodiscard]] base::Result<std::vector<Pixel>> find_board(const GreyPicture& picture, const Board& board,
                                                          const std::stop_token& stop = {});

/// Pixels between neighbouring corners, below which the next corner's edges are taken for this one's.
inline constexpr double kSmallestSquare = 6;

}  // namespace plumbmark::sight
