// Faces in a picture: finding them by program, and making them unrecognisable for good.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <stop_token>
#include <vector>

#include "base/result.h"

namespace plumbmark::sight {

/// Somebody's RGBA pixels: rows from the top, four bytes each, nothing between rows. Width and height >= 1.
struct Pixels {
    std::uint8_t* rgba = nullptr;
    int width = 0, height = 0;
};

/// A part of a picture, in its pixels; may reach beyond it.
struct Box {
    int x = 0, y = 0, width = 0, height = 0;
    friend bool operator==(const Box&, const Box&) = default;
};

/// Faces down to this many pixels from the brows to the chin are looked for: smaller ones have no features.
inline constexpr int kSmallestFace = 14;

/// Finds faces with the cascades that come with OpenCV (P. Viola and M. Jones, 'Rapid object detection using
/// a boosted cascade of simple features', CVPR 2001): from the front, from both sides, and heads over
/// shoulders. It finds many and misses some: small, turned away, masked, moving ones. docs/figures.md says
/// how many. Not for use by two threads at once.
class FaceFinder {
  public:
    /// Error unsupported where the cascades are not installed (Debian's package opencv-data).
    [[nodiscard]] static base::Result<FaceFinder> open();
    ~FaceFinder();
    FaceFinder(FaceFinder&&) noexcept;

    /// Where faces are, or may be, each with the hair around it and within the picture; from the top down.
    /// The pixels stay as they are. Takes seconds (docs/figures.md).
    [[nodiscard]] std::vector<Box> find(const Pixels& picture);
    /// Those of them that reach into this part of the picture, also where the part cuts them. Quicker, as
    /// small faces are not looked for far from it. What reaches beyond the picture is cut off. 'smallest':
    /// the side of the smallest face that is looked for, in pixels, at least kSmallestFace; a picture that is
    /// given out at half its size needs twice that, and is searched in a quarter of the time.
    /// Error cancelled, within about half a second.
    [[nodiscard]] base::Result<std::vector<Box>> find(const Pixels& picture, const Box& part,
                                                      const std::stop_token& stop = {},
                                                      double smallest = kSmallestFace);

  private:
    struct Inner;
    explicit FaceFinder(std::unique_ptr<Inner> inner);
    std::unique_ptr<Inner> inner_;
};

/// A part has at most this many cells across once it is hidden.
inline constexpr int kMostCells = 5;

/// Puts flat cells, at most kMostCells across and as many down, in place of that part of the picture: each
/// has the mean colour of what it covers, and nothing else of it is left, so nothing can be sharpened back.
/// What reaches beyond the picture is cut off.
void hide(const Pixels& picture, const Box& box);

/// Hides what FaceFinder::find() gave, but leaves a square around a point as it is: a contact that was
/// pointed at must stay to be seen, and what is found there mostly is no face. The square is 'side' pixels
/// wide, or a third of the smallest face that it would be in where that is less (of the cascade's own square,
/// from the brows to the chin, without the hair), so that no face can be told by it. True where a face
/// reached into it, so that something was left open.
bool hide_around(const Pixels& picture, const std::vector<Box>& faces, const std::array<double, 2>& point,
                 int side);

}  // namespace plumbmark::sight
