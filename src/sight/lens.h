// What a lens is, measured from several pictures of a board that is flat and whose measures are known: one
// least-squares fit of the lens and of where the camera stood at each picture. Values; any thread.
#pragma once

#include <array>
#include <cstddef>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "sight/calibrate.h"
#include "sight/camera.h"

namespace plumbmark::sight {

/// One picture of the board; 'places' and 'seen' are of the same length, four or more not on one line.
struct BoardView {
    std::string name;          ///< as people call it: "board-03.jpg"
    std::vector<Vec3> places;  ///< on the board, metres
    std::vector<Pixel> seen;   ///< where each of them is in the picture
};

/// The terms of the lens's distortion that are looked for; the others are none.
enum class Bending {
    k1,  ///< few views, or a board in the middle of the picture only
    k1_k2,
    k1_k2_p1_p2,
    all_five,  ///< needs corners out to the picture's own
};

/// What is looked for beside the principal point.
struct LensForm {
    Bending bending = Bending::k1_k2;
    bool two_focals = false;  ///< along x and y each; else one for both, as square pixels have
    bool skew = false;
    friend bool operator==(const LensForm&, const LensForm&) = default;
};

enum class PictureCorner { upper_left, upper_right, lower_left, lower_right };

/// Those corners of the picture, a third of it wide and high, in which no view has anything: distortion is
/// largest there, and what is said of it there is a guess from elsewhere.
[[nodiscard]] std::vector<PictureCorner> bare_corners(const std::vector<BoardView>& views, int width,
                                                      int height);

/// A lens and how well it is known.
struct MeasuredLens {
    /// How many numbers a lens has: fx, fy, cx, cy, skew, k1, k2, p1, p2, k3, in this order.
    static constexpr std::size_t kNumbers = 10;

    Lens lens;
    std::vector<Pose> poses;  ///< from the board's axes into the camera's, one for each view
    /// Of the ten numbers, by rows; none for those that were not looked for. It is the inverse of the normal
    /// matrix, the poses being unknown as well, times the sum of the squared residuals over 'redundancy'.
    std::array<double, kNumbers * kNumbers> covariance{};
    double rms = 0;      ///< pixels, of the distances between seen and expected, over all points
    int redundancy = 0;  ///< two equations for each point less the unknowns of the lens and of all poses
    std::vector<double> view_rms;               ///< the same of each view
    std::vector<std::vector<Pixel>> residuals;  ///< of each view and point: seen less expected, pixels
    /// Views whose rms is more than twice the middle one's (common practice, no source), and too large for
    /// chance at a risk of 0.1 %: a board that moved, is bent, or whose corners are wrong. Take each anew or
    /// leave it out; it is in the fit.
    std::vector<std::size_t> suspects;
    std::vector<PictureCorner> bare;  ///< as bare_corners() has it

    /// Standard deviation of one of the ten; none of what was not looked for.
    [[nodiscard]] double standard(std::size_t number) const;
    /// As Sightings wants it. Of several radial terms the standard of k1 is that which alone would spread the
    /// picture's pixels as much as all of them do together, by their covariance and over the whole picture.
    [[nodiscard]] LensStandard standard() const;
};

/// Least squares over lens and poses (the model and its beginning: Z. Zhang, 'A flexible new technique for
/// camera calibration', IEEE PAMI 22(11), 2000). Each pose touches the points of its own view alone, so it is
/// settled inside each step of the lens's and taken out of its equations by orthogonal projection (G. Golub
/// and V. Pereyra 1973, with the Jacobian of L. Kaufman 1975): the same minimum and the same covariance as of
/// all unknowns at once, in a time that grows with the number of points only. It begins at several focal
/// lengths with the poses of T. Collins and A. Bartoli (IJCV 2014), in OpenCV, and looks at both of their
/// answers again once the lens is known.
///
/// Errors: bad_input, which says what is missing and what to add: fewer than three views; a view whose points
/// are fewer than four, on one line or not on a plane; a board that is small in every picture; views that do
/// not tell the focal length, as where all show the board at the same slant; views that are not of one board.
/// cancelled, within a step.
[[nodiscard]] base::Result<MeasuredLens> measure_lens(const std::vector<BoardView>& views, int width,
                                                      int height, const LensForm& form,
                                                      const std::stop_token& stop = {});

}  // namespace plumbmark::sight
