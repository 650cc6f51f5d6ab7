// The run strip as values: what stands in which row, when. Made from the meet and the ruling, drawn by the
// panel, tested without a window. Times are the clip's own, in nanoseconds.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "course/book.h"
#include "meet/changes.h"
#include "ruling/ruling.h"

namespace plumbmark::desk {

/// One instant as wide as it is uncertain: later than 'after', at the latest at 'until'.
struct Edge {
    std::int64_t after = 0, until = 0;
    bool open = false;  ///< nobody marked this end: it lies somewhere beyond
    meet::MarkId mark;  ///< none when open
    friend bool operator==(const Edge&, const Edge&) = default;
};

/// A contact of one part.
struct ContactBar {
    course::Part part = course::Part::left_foot;
    Edge from, to;
    std::string words;  ///< the surface, or "deck or floor?"
    bool possible = false;
    bool solid = true;  ///< both ends are on the disk
    int lane = 0;       ///< contacts of one part that overlap in time share their row:
    int lanes = 1;      ///< 0 <= lane < lanes <= 2
};

/// A crossing, signal, infraction, control or shared moment.
struct InstantMark {
    std::int64_t after = 0, until = 0;
    std::string words;
    bool possible = false;
    bool solid = true;
    bool plane = false;
    meet::MarkId mark;
};

struct StationSegment {
    course::StationId station;
    std::int64_t from = 0, to = 0;
    bool placed = false;  ///< the footage says when; else it only keeps its place in the order
    ruling::Verdict verdict = ruling::Verdict::not_reached;
    bool ruled = false;
    std::string name;
};

struct WatchedStretch {
    std::int64_t from = 0, to = 0;
    bool vouched = false;  ///< false: frames were displayed, nothing was said
    bool solid = true;
    bool whole_athlete = true;
    std::string words;
    meet::MarkId mark;
};

struct StripModel {
    std::int64_t begin = 0, end = 0;  ///< of the clip
    std::vector<StationSegment> stations;
    std::array<std::vector<ContactBar>, 5>
        contacts;  ///< left hand, right hand, left foot, right foot, other and loose
    std::vector<InstantMark> instants;
    std::vector<WatchedStretch> watched;
};

struct StripInput {
    const meet::State* state = nullptr;
    meet::RunId run;
    meet::ClipId clip;
    std::int64_t frames = 0;
    /// When a frame from 0 to frames - 1 is shown, in ns, ascending. A long clip has half a million of them,
    /// and the strip asks for a few.
    std::function<std::int64_t(std::int64_t)> frame_time;
    std::int64_t end_ns = 0;  ///< when the last frame goes
    std::vector<std::array<std::int64_t, 2>> displayed;
    const course::CourseBook* book = nullptr;    ///< may be null
    const ruling::RunRuling* ruling = nullptr;   ///< may be null
    std::vector<meet::ClipId> ruling_clips;      ///< by ruling::ClipIndex
    std::function<bool(meet::EntityKey)> solid;  ///< empty: all solid
};

/// Contacts are paired by part and surface: a touch lasts to the next release of the same, else it stays open
/// to that part's next touch or the clip's end. Marks not bracketed on this clip are left out.
[[nodiscard]] StripModel strip_model(const StripInput& input);

/// Which of the five rows a part is drawn in.
[[nodiscard]] int strip_row(course::Part part);

}  // namespace plumbmark::desk
