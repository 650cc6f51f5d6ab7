// Flashes of light in a clip, by the rows of its pictures that they light: what a rolling shutter tells of
// its row delay. A camera that reads row after row lights those rows with a flash whose exposure holds it: a
// band. Values; a search has one owner thread.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "sight/crossing.h"

namespace plumbmark::sight {

/// Into so many stretches of equal width a row is parted: a flash lights the width of a picture, what passes
/// does not.
inline constexpr int kRowParts = 8;

/// Brightness of one stored picture (as the camera reads it, not turned): row after row from the first one,
/// the means of the row's parts from left to right, in code values of 8 bits (0 to 255) with fractions.
/// kRowParts for each row; empty: the picture could not be read.
using RowLight = std::vector<float>;

/// The place between two rows where light begins or ends, counted in rows from the first one's upper edge: 0
/// to the picture's height. It lies within +- 'off'.
struct RowEdge {
    double at = 0, off = 0;
};

enum class FlashKind : std::uint8_t {
    within,   ///< rows from 'first' to 'last' of one frame are lit: the exposure in rows
    across,   ///< from 'first' to the end of this frame, and from the beginning of the next to 'last'
    cut,      ///< the band is cut by the frame's end or beginning, and its rest is on no frame
    whole,    ///< every row of one frame, or of two, is lit
    lasting,  ///< rows of more than two frames, and all of those between: light that stays for a while
    unclear,  ///< lit, but not with one clear edge where one has to be
};

struct Flash {
    std::int64_t frame = 0;  ///< the first one that it lights
    int frames = 1;          ///< so many, one after the other
    FlashKind kind = FlashKind::unclear;
    RowEdge first, last;  ///< of 'within' and 'across'; see FlashKind
    double strength = 0;  ///< by how many code values it makes its rows brighter

    /// Of 'within': how many rows it lit; of 'across': how many lie between its last one in the next frame
    /// and its first one in this.
    [[nodiscard]] double rows() const {
        return kind == FlashKind::across ? first.at - last.at : last.at - first.at;
    }
    [[nodiscard]] double rows_off() const { return first.off + last.off; }
};

/// Looks for flashes in the frames of a clip, one frame after the other; keeps a few frames, however long the
/// clip.
///
/// Each row is held against its median over four frames before to four after: light that goes on and stays,
/// scenes that change and exposure that drifts are in the median, a flash is not. Lit are rows that are
/// brighter by eight standard deviations (robust, of the frames around) and by three code values. Rows of
/// which less than three quarters of the width are brighter do not count, nor does what is in the frames
/// around as well: things that move. An edge is where the brightness passes half of what it is on either side
/// of it; its 'off' holds the rows over which it rises from below 0.35 to above 0.65 of that (half the height
/// is not half the light in code values), made wider for noise and for light that is uneven beside the edge.
/// That a flash's own length does not matter: at half its light both edges are late by as much. (Derived
/// here; no source.)
class FlashSearch {
  public:
    /// The pictures have 'height' rows, 1 or more.
    explicit FlashSearch(int height);
    /// The next frame; the first one has the number 'begins' of finish(). A wrong size counts as empty.
    void add(RowLight light);
    /// After the last frame: what was found, in order; frames are numbered from 'begins'. Call once.
    [[nodiscard]] std::vector<Flash> finish(std::int64_t begins = 0);

  private:
    struct Kept {
        RowLight light;
        std::vector<float> rows;  ///< the parts' mean; empty like 'light'
    };
    /// A frame with lit rows, and what it was held against.
    struct Lit {
        std::int64_t frame = 0;
        std::vector<float> excess;  ///< of each row, over the median
        double noise = 0, strength = 0, least = 0;
        std::vector<std::pair<int, int>> bands;  ///< first row and the one behind the last
    };

    void look_at(std::int64_t frame);
    void close(std::int64_t next);
    [[nodiscard]] const Kept* kept(std::int64_t frame) const;
    [[nodiscard]] std::vector<float> median_around(std::int64_t frame, int part,
                                                   const std::pair<int, int>& rows) const;
    [[nodiscard]] std::optional<Lit> lit(std::int64_t frame) const;
    [[nodiscard]] bool covers_width(std::int64_t frame, const std::pair<int, int>& band, double least) const;
    [[nodiscard]] bool quiet_around(std::int64_t next) const;
    [[nodiscard]] std::vector<Flash> lasting() const;
    [[nodiscard]] std::vector<Flash> told() const;

    const int height_;
    std::deque<Kept> window_;
    std::int64_t window_begins_ = 0, added_ = 0, looked_ = 0;
    std::vector<Lit> run_;  ///< lit frames, one after the other; three at most
    int run_length_ = 0;
    std::vector<Flash> found_;
};

/// The time from a frame to the next one, in seconds, right to +- 'off'.
struct FrameInterval {
    double seconds = 0, off = 0;
};
/// Of a frame of the clip and the one after it; none where nobody knows.
using IntervalAfter = std::function<std::optional<FrameInterval>(std::int64_t frame)>;

enum class NoRowDelay : std::uint8_t {
    no_flash,        ///< neither 'within' nor 'across', nor 'whole'
    all_whole,       ///< those that are clear light every row
    none_within,     ///< there is an 'across', but no 'within'
    none_across,     ///< the other way round
    time_unknown,    ///< the intervals are not known
    bands_differ,    ///< the exposure was not the same for all
    not_one_camera,  ///< less than the picture's height in one interval
};

struct RowDelayOutcome {
    std::optional<RowDelay> delay;  ///< none: 'why'
    NoRowDelay why = NoRowDelay::no_flash;
    int within = 0, across = 0;  ///< flashes of these kinds
    /// Of those within a frame: the lowest and the highest number of lit rows; 0 where there is none.
    double fewest = 0, most = 0;
};

/// The row delay by row_delay_of(), of every flash within a frame with every one across two. Each pair gives
/// a range; those of all pairs have to overlap, else the exposure changed. The answer reaches from the lowest
/// middle of a range to the highest, and half the narrowest range further: as exact as the best pair, and as
/// wide as they differ.
[[nodiscard]] RowDelayOutcome row_delay_of_flashes(const std::vector<Flash>& flashes,
                                                   const IntervalAfter& interval_after, int height);

}  // namespace plumbmark::sight
