// Where a point that was placed on one picture (a heel, a knee) lies in the pictures before and after it, and
// how well that is known: so that the instant at which it crosses a plane can be measured between frames.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "follow/grey.h"
#include "follow/mapping.h"

namespace plumbmark::follow {

/// Why a point is lost in a picture.
enum class PointLoss {
    none,
    no_picture,      ///< the picture could not be converted, or has another size than the starting one
    out_of_picture,  ///< it left the picture, or what is around it did
    no_detail,       ///< nothing around it stands out of the noise
    unlike,  ///< what is around it looks otherwise than on the starting picture: covered, turned, blurred
    not_returned,  ///< the way back leads further off than the standard deviations allow
    lost_before,   ///< it was lost nearer to the starting picture
};

/// How the patch may change between pictures, beside moving and changing in brightness and contrast.
enum class PatchChange {
    none,    ///< it is shifted alone: things that do not turn
    affine,  ///< it turns, grows and leans as well: limbs (docs/following.md has both measured)
};

/// What compression does to where a thing lies, each way, standard deviation in pixels of the pictures as
/// they are given: a coder moves blocks of the picture before by whole quarters of a pixel, and where that
/// looks right it says no more (ITU-T H.264, 8.4.2.2). All of a patch is moved together, so that nothing left
/// over of its fit shows it. The root mean square that was measured over clips of H.264 grows with how coarse
/// they are (docs/following.md); this is that of a coarse one (x264 at quality 30). Coarser ones are worse
/// than is stated.
inline constexpr double kCompression = 0.15;

struct PointSettings {
    PatchChange change = PatchChange::affine;
    double compression = kCompression;  ///< 0 for pictures that never were compressed with loss
};

/// Of two correlated lengths: xx, xy, yy, in pixels of the full upright picture, squared.
using PointCovariance = std::array<double, 3>;

/// The point in one picture. All but 'loss' means nothing where it is lost.
struct FollowedPoint {
    PointLoss loss = PointLoss::lost_before;
    Point at{};  ///< pixels of the full upright picture, as follow/mapping.h has them
    /// Of how far the thing moved since the starting picture; zero there. How well the point was placed on
    /// the thing is not in it: that is common to all pictures and whoever placed it knows. Very large along
    /// an edge with nothing on it, as nothing shows how far the edge slid along itself.
    PointCovariance covariance{};
    double residual = 0;  ///< of the patch's middle from the starting one, standard deviation in code values
    double returned = 0;  ///< how far from the neighbour's point the way back led, full pixels

    [[nodiscard]] bool found() const { return loss == PointLoss::none; }
    /// Standard deviation along a direction (of any length but zero), full pixels: across a plane's line.
    [[nodiscard]] double standard(const Point& direction) const;
    /// Of the direction in which it is known worst.
    [[nodiscard]] double largest_standard() const;
    /// Whether 'place' lies within the ellipse that holds about 95 % (5.991 in squared standard deviations:
    /// chi-squared with two degrees of freedom).
    [[nodiscard]] bool within_95(const Point& place) const;
};

/// A point over successive pictures, one for each that was given and in their order. A plain value; any
/// thread.
struct PointTrack {
    std::size_t start = 0;
    std::vector<FollowedPoint> points;  ///< points[start] is the point as it was placed

    /// Follows the point from pictures[start] to both ends, each way for itself, until it is lost: the
    /// pictures in reverse order give the same track. From neighbour to neighbour it is found by pyramidal
    /// optical flow (B. Lucas and T. Kanade, IJCAI 1981; J.-Y. Bouguet, 'Pyramidal implementation of the
    /// Lucas Kanade feature tracker', Intel 2000) and back again (Z. Kalal, K. Mikolajczyk and J. Matas,
    /// 'Forward-backward error', ICPR 2010), but its place is where the patch around it fits that of the
    /// starting picture (S. Baker and I. Matthews, 'Lucas-Kanade 20 years on', IJCV 2004), so nothing adds up
    /// over the pictures. The standard deviations come of the patch's structure tensor and what is left over
    /// of its fit, held against rendered truth, and of what compression adds, which no fit shows: see
    /// kCompression.
    ///
    /// 'pictures' in order of time, at even steps or nearly; all of one size. The pixels they hold count, not
    /// those they stand for: a place is found to a part of a pixel of what is given here, so for measuring
    /// give pictures as large as they were filmed. The patch is about 25 pixels of them across, its middle
    /// counting most. 'at': full pixels.
    ///
    /// Errors: bad_input where there is no such starting picture or the point is not in it; cancelled, within
    /// one picture. About ten milliseconds a picture, whatever its size. The same call gives the same answer
    /// on every run. May be called from several threads at once; OpenCV's own threads are not used.
    [[nodiscard]] static base::Result<PointTrack> follow(std::span<const GreyPicture> pictures,
                                                         std::size_t start, const Point& at,
                                                         const PointSettings& settings = {},
                                                         const std::stop_token& stop = {});
};

}  // namespace plumbmark::follow
