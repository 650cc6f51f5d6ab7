// A picture with what was marked drawn into it, for stills and clips that leave the meet. Over the picture
// itself stands what belongs to the scene: outlines, planes, places that were pointed at. All words about it
// stand on a band below, so that they hide nothing of it.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "course/parts.h"
#include "media/picture.h"
#include "report/stills.h"
#include "ruling/ruling.h"

namespace plumbmark::report {

/// What the whole of it is about: "hawser swing: FAIL" behind the verdict's shape, and the reason.
struct PictureCaption {
    std::optional<ruling::Verdict> verdict;  ///< none: no shape
    std::string heading;
    std::string sentence;
};

/// A mark that is near: its limb as a coloured square with its letters, and one line.
struct PictureNote {
    std::optional<course::Part> part;  ///< none: of no limb, a grey square without letters
    std::string words;                 ///< "f 212 to 213, not yet: left foot touches quay deck"
};

/// A place that was pointed at: a ring in the limb's colour.
struct PictureSpot {
    std::array<double, 2> at{};  ///< in the picture's pixels
    std::optional<course::Part> part;
    bool past = false;  ///< of a mark that had happened before this frame: a small ring
};

/// Of one frame.
struct PictureMarks {
    std::vector<StillOutline> outlines;  ///< in the picture's pixels
    std::vector<PictureSpot> spots;
    std::string frame_line;  ///< "camera A · f 212 · 0:03.533 · run 2.100 to 2.117 s"
    std::vector<PictureNote> notes;
};

/// "LF", as the squares have it.
[[nodiscard]] const char* part_letters(course::Part part);

/// Draws pictures of one size, all to the same larger size. Immutable; any thread, several at once.
class PictureAnnotator {
  public:
    /// 'width' and 'height' are those of the pictures, positive. The band has room for the frame's line, the
    /// caption where there is one, and 'note_rows' notes, at most kMostNoteRows; of more the last row says
    /// how many there are besides.
    PictureAnnotator(int width, int height, std::optional<PictureCaption> caption, std::size_t note_rows);
    static constexpr std::size_t kMostNoteRows = 4;

    /// Of a picture with its band.
    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_ + band_; }

    /// The picture with all of that. Points outside it are cut off at its edge. Errors: bad_input (another
    /// size, or pixels that do not fit it), io (Cairo cannot draw: memory is short).
    [[nodiscard]] base::Result<media::RgbaImage> draw(const media::RgbaImage& picture,
                                                      const PictureMarks& marks) const;

  private:
    int width_, height_, band_ = 0;
    double unit_;
    std::optional<PictureCaption> caption_;
    std::size_t note_rows_;
    int caption_height_ = 0;
};

}  // namespace plumbmark::report
