// Which pictures a ruling sheet wants, and what is drawn over them. The room that holds the clips fetches
// them.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "media/picture.h"
#include "report/ruling_document.h"

namespace plumbmark::report {

/// The two frames of one bracket, to be printed side by side. At least one of them is set.
struct StillPair {
    std::string station_key;
    ruling::ClipIndex clip;
    std::optional<std::int64_t> before;  ///< 'not yet'; none: before the clip begins
    std::optional<std::int64_t> after;   ///< 'it is'; none: after the clip ends
    ruling::MarkId mark;                 ///< none where a stretch is shown that nobody has marked
    friend bool operator==(const StillPair&, const StillPair&) = default;
};

/// At most this many pairs: with them a sheet still fits one page.
inline constexpr std::size_t kMostStillPairs = 4;

/// The pairs a sheet wants, most wanted first. First the deciding bracket of each station under appeal, then
/// of those ruled FAIL or NOT SHOWN (where nothing decided: the brackets that would settle it, at most two),
/// then the same events on other clips, then what decided the CLEAR stations, the smallest margin first
/// (beside contested stations only up to two pairs in all, so that the page stays one). No pair comes twice.
/// Frames are numbered from 0 in their clip.
[[nodiscard]] std::vector<StillPair> choose_stills(const RulingDocument& document);

enum class StillSide : std::uint8_t {
    not_yet,  ///< the early frame of the bracket
    it_is,    ///< the late one
};

/// A surface's closed outline or a plane's open line, in pixels of the still (x right, y down, the centre of
/// the first pixel at 0.5, 0.5). Points may lie outside the still; they are cut off at its edge.
struct StillOutline {
    std::vector<std::array<double, 2>> points;
    std::string name;
    meet::DrawingKind kind = meet::DrawingKind::surface;
    std::optional<std::array<double, 2>> towards;  ///< a point on a plane's far side
};

/// The radius of the ring that a sheet draws around the spot, of the still's longer side.
inline constexpr double kRingRadius = 9.0 / 240;

/// One picture of a sheet: a crop of the upright frame.
struct Still {
    std::string caption;  ///< "left foot touches quay deck"
    std::string station_key;
    media::RgbaImage picture;
    std::vector<StillOutline> outlines;
    std::optional<std::array<double, 2>> spot;  ///< where the contact was pointed at, in pixels of the still
    StillSide side = StillSide::not_yet;
    ruling::ClipIndex clip;
    std::int64_t frame = 0;  ///< numbered from 0 in its clip
    ruling::MarkId mark;     ///< as in the StillPair it was fetched for
};

}  // namespace plumbmark::report
