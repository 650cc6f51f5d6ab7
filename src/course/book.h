// The course book: one definition of a course that serves the briefing, the ruling, the standings and the
// proof. Plain values; how it is written by hand stands in docs/course-book.md, how it is read in
// course/read.h. What each field means in a ruling is laid down in docs/rulings.md, 'What a station says'.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "course/parts.h"
#include "course/place.h"
#include "course/plan.h"

namespace plumbmark::course {

struct Surface {
    std::string key;   ///< "coil_deck", or "beam.top" for a face
    std::string name;  ///< "coil deck", any script; what sentences say
    SurfaceId parent;  ///< for a face: the surface it belongs to; none otherwise
    Place place;
    bool out_of_play =
        false;  ///< declared only so that marks and sentences can name it; no station may use it
    friend bool operator==(const Surface&, const Surface&) = default;
};

struct Plane {
    std::string key;
    std::string name;
    Place place;
    friend bool operator==(const Plane&, const Plane&) = default;
};

/// One surface in play on a station, with the parts that may touch it.
struct Item {
    SurfaceId surface;
    PartSet parts;
    bool required = false;
    std::optional<SurfaceId> after;  ///< may be touched only after this item has been touched
    bool once = false;               ///< not touched again after every part has left it
    Place place;
    friend bool operator==(const Item&, const Item&) = default;
};

/// A row of items taken in turn, of which at most max_skipped may be left out (rungs). Each member is also an
/// Item.
struct ItemRow {
    std::vector<SurfaceId> members;  ///< in the order in which they are taken
    std::int32_t max_skipped = 0;
    Place place;
    friend bool operator==(const ItemRow&, const ItemRow&) = default;
};

/// Which parts must be on the landing at once.
enum class LandingParts : std::uint8_t {
    any_part,    ///< any part at all
    any_foot,    ///< one foot
    both_feet,   ///< both feet, on the same or on different landing surfaces
    both_hands,  ///< both hands (a final hold)
    any_hand,    ///< one hand
    none,        ///< no contact asked for (the landing is a plane to cross alone)
    listed,      ///< every part of Landing::listed_parts
};

/// A plane that must be passed before the station is completed.
struct PlaneCondition {
    PlaneId plane;
    std::optional<Part> part;  ///< by this part; none: by the whole athlete, out by the last part
    Place place;
    friend bool operator==(const PlaneCondition&, const PlaneCondition&) = default;
};

struct Landing {
    std::vector<SurfaceId> surfaces;
    LandingParts parts = LandingParts::any_foot;
    std::vector<PlaneCondition> planes;
    std::optional<base::Duration> hold;  ///< the conditions must hold together this long without a break
    bool control = false;                ///< a judge's control mark completes it instead of a hold
    bool no_hands_down = false;          ///< a hand on a landing surface before completion fails
    Place place;
    PartSet listed_parts;       ///< for LandingParts::listed: all of these at once; empty otherwise
    bool same_surface = false;  ///< the parts must all be on one and the same landing surface
    friend bool operator==(const Landing&, const Landing&) = default;
};

enum class Exit : std::uint8_t {
    shared,  ///< the landing is the next station's start; that station begins at this completion
    free,    ///< after completion nothing counts until the next station begins
};

/// Part credit for coming this far (points formats).
struct Checkpoint {
    std::string key;
    std::string name;
    std::optional<SurfaceId> touched;  ///< reached by touching this item ...
    std::optional<PlaneId> crossed;    ///< ... or by the whole athlete passing this plane
    std::int32_t points = 0;
    Place place;
    friend bool operator==(const Checkpoint&, const Checkpoint&) = default;
};

/// How long the named parts must stay behind the start plane.
enum class BehindUntil : std::uint8_t {
    signal,   ///< until the start signal (only a station that begins at a signal: the first)
    set_off,  ///< until the athlete sets off on this station
};

struct Station {
    std::string key;
    std::string name;
    std::vector<SurfaceId> start;
    std::optional<PlaneId>
        start_plane;  ///< must be behind it until the signal (first station) or until set-off
    PartSet start_plane_parts = kWholeBody;
    std::vector<Item> in_play;
    std::vector<ItemRow> rows;
    Landing landing;
    Exit exit = Exit::shared;
    std::int32_t attempts = 1;
    std::optional<base::Duration> cap;         ///< from the first attempt's set-off; fails this station
    std::optional<base::Duration> rest_limit;  ///< longest stay on the start platform before set-off
    bool step_down_allowed = false;            ///< stepping down from the start and up again begins nothing
    bool previous_items_neutral = true;        ///< items of the station before are neutral until set-off
    std::vector<Checkpoint> checkpoints;
    std::int32_t points = 1;
    Place place;
    BehindUntil start_plane_until = BehindUntil::set_off;  ///< only where there is a start plane
    friend bool operator==(const Station&, const Station&) = default;
};

enum class Format : std::uint8_t { first_fail_ends, every_station_counts };
enum class FalseStart : std::uint8_t { fails_first_station, no_effect };

/// The signal that a run's finish must register (a button, a bell plate).
struct Finish {
    std::string name;                  ///< "bell plate"
    bool required = false;             ///< a full clear needs it
    std::optional<SurfaceId> surface;  ///< where it is struck, in play at all times after the last station
    Place place;
    friend bool operator==(const Finish&, const Finish&) = default;
};

/// What a division runs otherwise than the course as a whole. Its stations are written out whole, so that
/// nobody has to merge two definitions in the head while an appeal runs.
struct Division {
    std::string key;
    std::string name;
    std::vector<Station> stations;    ///< each stands in place of the course's station with the same key
    std::vector<StationId> left_out;  ///< stations of the course that this division does not run
    std::optional<base::Duration> run_cap;  ///< in place of the course's; none: the course's
    Place place;
    friend bool operator==(const Division&, const Division&) = default;
};

/// In a lane this one takes the place of that one.
template <class IdType>
struct InPlaceOf {
    IdType usual;  ///< what the stations name
    IdType here;   ///< what stands there in this lane
    friend bool operator==(const InPlaceOf&, const InPlaceOf&) = default;
};

/// One of several tracks beside each other on which the same stations are built.
struct Lane {
    std::string key;
    std::string name;
    std::vector<InPlaceOf<SurfaceId>> surfaces;  ///< no surface stands twice on either side
    std::vector<InPlaceOf<PlaneId>> planes;
    Place place;
    friend bool operator==(const Lane&, const Lane&) = default;
};

struct CourseBook {
    std::string name;
    std::string revision;  ///< "3", "2026-05-02": a run is ruled under the revision in force when it was run
    Format format = Format::first_fail_ends;
    bool brush_counts = true;       ///< a brush counts where a touch is forbidden
    bool loose_counts = true;       ///< hair, clothing and gear count as contact
    bool at_cap_is_in_time = true;  ///< an event exactly at a cap is in time
    FalseStart false_start = FalseStart::fails_first_station;
    std::optional<base::Duration> run_cap;  ///< from the start signal; ends the run
    std::vector<Surface> surfaces;
    std::vector<Plane> planes;
    std::vector<Station> stations;
    Finish finish;
    std::vector<Division> divisions;
    std::vector<Lane> lanes;
    Plan plan;

    // Defined in book.cpp: copying and ending all of a book is a large piece of code.
    CourseBook();
    CourseBook(const CourseBook& other);
    CourseBook(CourseBook&& other) noexcept;
    CourseBook& operator=(const CourseBook& other);
    CourseBook& operator=(CourseBook&& other) noexcept;
    ~CourseBook();

    /// The surface, plane or station with this key; an invalid id when there is none.
    [[nodiscard]] SurfaceId find_surface(std::string_view key) const;
    [[nodiscard]] PlaneId find_plane(std::string_view key) const;
    [[nodiscard]] StationId find_station(std::string_view key) const;
    [[nodiscard]] const Surface& surface(SurfaceId id) const;
    [[nodiscard]] const Plane& plane(PlaneId id) const;
    [[nodiscard]] const Station& station(StationId id) const;
    /// "top of the beam" reads as the face's own name; a surface as its name.
    [[nodiscard]] const std::string& surface_name(SurfaceId id) const;
    /// Equal in every field, places included; compare books from different texts through without_places().
    friend bool operator==(const CourseBook& a, const CourseBook& b);
};

/// What a station by itself names: its start, landing, items in play and touched checkpoints.
[[nodiscard]] std::set<SurfaceId> surfaces_named(const Station& station);

/// What the stations of the book and its finish name; the stations of divisions are not among them.
[[nodiscard]] std::set<SurfaceId> surfaces_named(const CourseBook& book);

/// The book as one division runs it: its own stations in place of the course's, those left out gone, its own
/// run cap, no divisions, and the same lanes. Station ids of the result count its own stations. Error
/// not_found, naming the nearest division, when there is none with this key.
[[nodiscard]] base::Result<CourseBook> division_book(const CourseBook& book, std::string_view division_key);

/// The book as it is run in one lane: in starts, items, rows, landings, planes, checkpoints and the finish,
/// also of divisions, that lane's surfaces and planes stand in place of the course's, and there are no lanes.
/// All surfaces stay declared, with their ids, so a touch of another lane's is out of play. What would stand
/// twice in a start, a landing or a row stands once. Error not_found, naming the nearest lane, when there is
/// none with this key.
[[nodiscard]] base::Result<CourseBook> lane_book(const CourseBook& book, std::string_view lane_key);

/// The book as one run is ruled under it: of this division, then in this lane; an empty key takes the course
/// as it stands, or as it is written. Errors as division_book() and lane_book().
[[nodiscard]] base::Result<CourseBook> run_book(const CourseBook& book, std::string_view division_key,
                                                std::string_view lane_key);

/// The same book with every Place at line 0: what it says, without where it was written.
[[nodiscard]] CourseBook without_places(CourseBook book);

}  // namespace plumbmark::course
