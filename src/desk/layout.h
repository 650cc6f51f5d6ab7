// Where the zones of the desk lie. Pure: the window's size and scale in, rectangles out.
#pragma once

#include <vector>

namespace plumbmark::desk {

struct Box {
    float x = 0, y = 0, w = 0, h = 0;
    [[nodiscard]] float right() const { return x + w; }
    [[nodiscard]] float bottom() const { return y + h; }
    [[nodiscard]] bool holds(float px, float py) const {
        return px >= x && px < x + w && py >= y && py < y + h;
    }
    friend bool operator==(const Box&, const Box&) = default;
};

/// Heights in the run strip, at 100 %: the time axis, a row (wide enough for a finger), the playhead's label
/// below.
inline constexpr float kRuler = 24, kRow = 28, kPlayheadLabel = 28;

/// Which rows the run strip shows.
enum class StripRows {
    all,     ///< course, five limbs, planes, signals, watched
    joined,  ///< planes and signals in one row, where the window is low
    folded,  ///< course and watched, for larger pictures
};
/// 'sound': one more above the watched row, except in the folded strip.
[[nodiscard]] constexpr int row_count(StripRows rows, bool sound) {
    if (rows == StripRows::folded) return 2;
    return (rows == StripRows::all ? 9 : 8) + (sound ? 1 : 0);
}

struct Layout {
    Box top, pictures, sheet, strip, help;
    StripRows rows = StripRows::all;
    float scale = 1;
};

/// Boxes for the picture that is worked on (first) and the other angles. Aspects are width over height.
[[nodiscard]] std::vector<Box> lay_angles(const Box& panel, const std::vector<float>& aspects, float gap);

/// Divides a window of this many pixels. Scale is pixels per unit of the design (1 = 15 px type). Works from
/// 640 x 480 units up; below that the zones shrink but stay inside the window.
/// 'sound': the run strip has its row for sound.
[[nodiscard]] Layout lay_out(float width, float height, float scale, bool strip_folded, bool sound);

}  // namespace plumbmark::desk
