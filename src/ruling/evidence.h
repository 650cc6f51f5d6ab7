// What a review says happened, in the words of docs/rulings.md ('What a mark says'). Plain values in time;
// the room that knows frames and pictures turns marks on frames into these.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/ids.h"
#include "base/time.h"
#include "course/book.h"

namespace plumbmark::ruling {

/// Names a mark, contact statement or watched span of the review; unique over all three kinds within one
/// review.
using MarkId = base::Id<struct MarkTag>;
/// Index into Evidence::clips.
using ClipIndex = base::Id<struct ClipIndexTag>;

/// How firm a contact was; ungraded may be either.
enum class Grade : std::uint8_t { ungraded, brush, weight };
/// Which way a plane was passed: forward is towards its far side; back undoes it.
enum class Direction : std::uint8_t { forward, back };
enum class SignalKind : std::uint8_t { start_given, finish_registers, run_over };
enum class InfractionKind : std::uint8_t { assistance, false_start, lack_of_control };

struct Touch {
    course::Part part;
    course::SurfaceId surface;
    Grade grade = Grade::ungraded;
    friend bool operator==(const Touch&, const Touch&) = default;
};
struct Release {
    course::Part part;
    course::SurfaceId surface;
    friend bool operator==(const Release&, const Release&) = default;
};
/// A named part, or the whole athlete (part empty), passes a plane. The whole athlete is out by its last part
/// and back by its first.
struct Cross {
    std::optional<course::Part> part;
    course::PlaneId plane;
    Direction direction = Direction::forward;
    friend bool operator==(const Cross&, const Cross&) = default;
};
struct Signal {
    SignalKind kind;
    friend bool operator==(const Signal&, const Signal&) = default;
};
struct Infraction {
    InfractionKind kind;
    friend bool operator==(const Infraction&, const Infraction&) = default;
};
/// The judge's word that the athlete stood in control on the landing.
struct Control {
    friend bool operator==(const Control&, const Control&) = default;
};
/// A moment that several clips show: a hand clap, a door, a light going on. It is no event of the run: its
/// brackets tie the clocks of their clips, and nothing else looks at it. On one clip alone it says nothing.
struct SharedMoment {
    friend bool operator==(const SharedMoment&, const SharedMoment&) = default;
};
using Happening = std::variant<Touch, Release, Cross, Signal, Infraction, Control, SharedMoment>;

/// A bracket on one clip, in clip time: not yet at 'after', it had by 'until' (after < t <= until). No
/// 'after': before the clip begins; no 'until': after it ends.
struct Sighting {
    ClipIndex clip;
    std::optional<base::Time> after;
    std::optional<base::Time> until;
    /// Both are when the row of the picture was taken that shows it, so the clip's row delay is not added.
    bool row_known = false;
    friend bool operator==(const Sighting&, const Sighting&) = default;
};

/// One event that was marked. Exactly one of the alternatives is true (usually there is only one); a possible
/// event may not have happened at all. A shared moment is certain and the mark's only alternative.
struct Mark {
    MarkId id;
    std::vector<Happening> alternatives;  ///< at least one
    bool possible = false;
    std::vector<Sighting> sightings;  ///< on one or several clips; empty: at an unknown time
};

/// At this frame of this clip the part is on (or off) the surface.
struct ContactStatement {
    MarkId id;
    ClipIndex clip;
    base::Time at;
    course::Part part;
    course::SurfaceId surface;
    bool on = true;
};

/// What a watched span vouches for.
struct Scope {
    bool whole_athlete = false;  ///< every surface, everything undeclared, and every plane
    std::vector<course::SurfaceId> surfaces;
    std::vector<course::PlaneId> planes;
    bool finish_signal = false;
    friend bool operator==(const Scope&, const Scope&) = default;
};

/// The reviewer's word: over (after, until] of this clip my view of the scope was clear and all is marked.
struct WatchedSpan {
    MarkId id;
    ClipIndex clip;
    base::Time after;
    base::Time until;
    Scope scope;
};

/// What the ruling must know of a clip. Times are the clip's own, in nanoseconds.
struct ClipFacts {
    std::string name;                     ///< as sentences call it ("camera A")
    std::vector<base::Time> frame_times;  ///< ascending; used to count margins in frames
    bool durations_known = true;  ///< false while the capture time of a slowed clip is unknown: order only
    base::Duration row_delay{0};  ///< two marks of this clip may differ by up to this either way
};

/// Everything one ruling rests on.
struct Evidence {
    std::vector<ClipFacts> clips;
    std::vector<Mark> marks;
    std::vector<ContactStatement> contacts;
    std::vector<WatchedSpan> spans;
};

/// Settings of the engine, all stated on the ruling sheet.
struct Settings {
    std::int64_t drift_parts_per_million = 50;
    std::int64_t budget_states = 400'000;  ///< a review that needs more is refused as too tangled
    /// Asked often, on the thread that rules: true once the ruling is no longer wanted, and from then on. It
    /// then ends soon, with the error 'cancelled'; a ruling that is given was made whole.
    std::function<bool()> stopped;
    /// False: verdicts, clauses, sentences and results alone, without what a ruling rests on, its margin,
    /// worlds and what would settle it; for those who rule many reviews.
    bool explain = true;
    /// With 'explain' false: false leaves the sentences, the findings by clause and begins_at out as well,
    /// for whoever rules a whole meet and looks at few of its runs.
    bool sentences = true;
};

}  // namespace plumbmark::ruling
