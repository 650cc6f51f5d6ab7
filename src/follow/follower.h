// Where a drawing lies in another picture of its clip, when the camera was moved or held by hand.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "follow/grey.h"
#include "follow/mapping.h"

namespace plumbmark::follow {

enum class Verdict {
    fits,  ///< the mapping holds, within 'error'
    lost,  ///< nothing may be drawn by it
};

/// Why a drawing is lost.
enum class Loss {
    none,
    no_picture,  ///< the picture could not be converted, or has another shape than the still
    no_match,    ///< too little of the still is seen again: covered, blurred, another scene, out of sight
    no_view,     ///< what is seen again is no view of the same scene: turned over, squeezed, too far away
    uncertain,   ///< it is known where, but not well enough: see largest_error()
};

/// How one shape lies in the picture. Lengths are pixels of the full upright picture.
struct ShapeFit {
    Verdict verdict = Verdict::lost;
    Loss loss = Loss::no_match;
    Mapping mapping;      ///< still -> picture; holds near the shape; only to be used where it fits
    int inliers = 0;      ///< points of the still that lie where the mapping says
    double share = 0;     ///< of the points that should be in the picture, 0 to 1
    double residual = 0;  ///< robust standard deviation of these points from where the mapping says
    /// Half the width within which each of the shape's points lies with about 95 %: the propagated covariance
    /// of the homography (Hartley and Zisserman, section 5.2) and how far the points near the shape lie off.
    double error = 0;
};

struct Fit {
    /// The picture shows the scene where the still does, within half a pixel: all mappings are the identity,
    /// so that nothing trembles under a fixed camera.
    bool still = false;
    /// Still -> picture for the picture as a whole; where a neighbour may begin to look.
    std::optional<Mapping> whole = std::nullopt;
    std::vector<ShapeFit> shapes = {};  ///< in the order they were given
};

/// A shape whose error is larger is lost: 4 pixels of a picture 1920 long, and never less than 2.
[[nodiscard]] double largest_error(int full_width, int full_height);

/// Every picture is held against the still itself, never against its neighbour, so nothing adds up over a
/// clip. docs/following.md says how, from which sources, and how well it does.
///
/// The same call gives the same answer on every run. Immutable after make(): fit() may be called from several
/// threads at once. OpenCV's own threads are not used.
class Follower {
  public:
    /// 'shapes': the points of each drawing that was made on the still, in its full pixels; at least one
    /// shape, each of at least one point. Error bad_input where the still has too little detail to be found
    /// again.
    [[nodiscard]] static base::Result<Follower> make(const GreyPicture& still,
                                                     std::vector<std::vector<Point>> shapes);
    ~Follower();
    Follower(Follower&&) noexcept;
    Follower& operator=(Follower&&) noexcept;

    /// 'near': Fit::whole of a picture close by in time, where one is known. It only says where to look
    /// first: where that fails, the picture is looked for anew.
    [[nodiscard]] Fit fit(const GreyPicture& picture,
                          const std::optional<Mapping>& near = std::nullopt) const;

  private:
    struct Inner;
    explicit Follower(std::unique_ptr<Inner> inner);
    std::unique_ptr<Inner> inner_;
};

}  // namespace plumbmark::follow
