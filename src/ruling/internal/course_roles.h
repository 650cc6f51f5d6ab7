// What each surface and plane is for each station, worked out once for a course book. Contacts are pairs of a
// part and a surface class, numbered, so that a world's contacts fit a few machine words.
#pragma once

#include <bitset>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "base/result.h"
#include "course/book.h"

namespace plumbmark::ruling {

inline constexpr std::size_t kMostPairs = 512;
inline constexpr std::size_t kMostSides = 256;
inline constexpr std::size_t kPartsCount = course::kAllParts.size();
/// Who passes a plane: one of the six parts, or the whole athlete.
inline constexpr std::size_t kCrossersCount = kPartsCount + 1;
inline constexpr std::size_t kWhole = kPartsCount;

using PairBits = std::bitset<kMostPairs>;
using SideBits = std::bitset<kMostSides>;
using PairIndex = std::uint16_t;
using SideIndex = std::uint16_t;
using SurfaceClass = std::uint16_t;

/// What a surface class is on one station.
struct Role {
    bool start = false;
    bool landing = false;
    int item = -1;  ///< index into StationRoles::items
    bool previous_item =
        false;  ///< an item of the station before: neutral until set-off where the course says so
    std::int32_t credit = 0;  ///< points of the best checkpoint that touching it reaches
    /// Whether the first touch of it, after standing on a start surface, sets off.
    [[nodiscard]] bool sets_off() const { return item >= 0 || (landing && !start); }
};

struct ItemRoles {
    SurfaceClass surface = 0;
    course::PartSet parts;
    bool required = false;
    int after = -1;  ///< item index
    bool once = false;
    std::vector<PairIndex> pairs;    ///< every part on it
    std::vector<PairIndex> allowed;  ///< those of the parts that it allows
};

struct RowRoles {
    std::vector<int> members;  ///< item indices
    int max_skipped = 0;
};

/// Each inner list must have a part on it ('any of'); all inner lists together ('all of'); any of the outer
/// ways.
using ContactWays = std::vector<std::vector<std::vector<PairIndex>>>;

struct PlaneNeed {
    std::size_t plane = 0;
    std::size_t crosser = kWhole;
};

/// A checkpoint that the whole athlete reaches by passing a plane.
struct CreditPlane {
    std::size_t plane = 0;
    std::int32_t points = 0;
};

struct StationRoles {
    const course::Station* station = nullptr;
    std::vector<Role> roles;          ///< by surface class of the course
    std::vector<PairIndex> on_start;  ///< every part on every start surface
    ContactWays landing;              ///< empty: no contact asked for
    std::vector<ItemRoles> items;
    std::vector<RowRoles> rows;
    std::vector<PlaneNeed> planes;
    std::vector<CreditPlane> credit_planes;
    std::vector<SideIndex> start_sides;  ///< sides that must be behind the start plane
    std::size_t start_plane = 0;
    bool has_start_plane = false;
    SideBits sides;                    ///< every side that this station's definition asks about
    PairBits asked;                    ///< contacts whose being on a condition asks for: not an item's touch
    bool return_ends_attempt = false;  ///< some start surface is neither item nor landing
};

/// The tables of one course book. Immutable once made; may be shared between threads.
///
/// Surface classes: each surface that some station (or the finish) uses has one of its own. Surfaces that the
/// book only declares share the class kRest, and everything undeclared is kUndeclared. A ruling gives those
/// of the rest that its evidence names classes of their own, after these (class Roles).
class CourseRoles {
  public:
    static constexpr SurfaceClass kRest = 0;
    static constexpr SurfaceClass kUndeclared = 1;
    static constexpr SurfaceClass kFirstUsed = 2;

    explicit CourseRoles(course::CourseBook book);
    CourseRoles(const CourseRoles&) = delete;
    CourseRoles& operator=(const CourseRoles&) = delete;

    /// Why no run can be ruled on this course: it is larger than the engine's words.
    [[nodiscard]] const std::optional<base::Error>& too_large() const { return too_large_; }
    [[nodiscard]] const course::CourseBook& book() const { return book_; }
    [[nodiscard]] const std::vector<StationRoles>& stations() const { return stations_; }
    [[nodiscard]] std::size_t class_count() const { return representatives_.size(); }
    /// The class of a declared surface, by its index; kRest for one that nothing uses.
    [[nodiscard]] SurfaceClass class_of(std::size_t surface) const { return classes_[surface]; }
    /// One surface that stands for the class; none for kUndeclared, and for kRest where it is empty.
    [[nodiscard]] course::SurfaceId surface_of(SurfaceClass c) const { return representatives_[c]; }
    [[nodiscard]] const std::vector<PairIndex>& on_finish() const { return on_finish_; }
    /// Whether there is a finish signal at all: named, required, or struck on a surface.
    [[nodiscard]] bool has_finish() const { return has_finish_; }
    /// Pairs of one kind are on one surface class and no station's definition tells their parts apart.
    [[nodiscard]] std::uint32_t kind_of(PairIndex pair) const { return kinds_[pair]; }
    /// Pairs, and sides, whose state can matter to station k or a later one.
    [[nodiscard]] const PairBits& matters_from(std::size_t k) const { return matters_from_[k]; }
    [[nodiscard]] const SideBits& sides_from(std::size_t k) const { return sides_from_[k]; }

  private:
    [[nodiscard]] std::optional<base::Error> size_error() const;
    [[nodiscard]] SurfaceClass class_of(course::SurfaceId surface) const;
    void make_classes();
    void make_station(std::size_t k);
    void make_items(StationRoles& roles);
    void make_landing(StationRoles& roles);
    void make_planes(StationRoles& roles);
    void make_checkpoints(StationRoles& roles);
    void make_matters();
    void make_kinds();

    course::CourseBook book_;
    std::optional<base::Error> too_large_;
    bool has_finish_ = false;
    std::vector<SurfaceClass> classes_;
    std::vector<course::SurfaceId> representatives_;
    std::vector<StationRoles> stations_;
    std::vector<PairIndex> on_finish_;
    std::vector<PairBits> matters_from_;
    std::vector<SideBits> sides_from_;
    std::vector<std::uint32_t> kinds_;
};

/// A course is shared by all who rule on it.
using CoursePtr = std::shared_ptr<const CourseRoles>;

/// Pairs of one surface class lie side by side, in the order of the parts.
[[nodiscard]] constexpr PairIndex pair_of(course::Part part, SurfaceClass c) {
    return static_cast<PairIndex>(c * kPartsCount + static_cast<std::size_t>(part));
}
[[nodiscard]] constexpr course::Part part_of(std::size_t pair) {
    return static_cast<course::Part>(pair % kPartsCount);
}
[[nodiscard]] constexpr SurfaceClass class_of_pair(std::size_t pair) {
    return static_cast<SurfaceClass>(pair / kPartsCount);
}
[[nodiscard]] constexpr SideIndex side_of(std::size_t crosser, std::size_t plane) {
    return static_cast<SideIndex>(plane * kCrossersCount + crosser);
}
/// The sides of every part of the body at the plane: all but what is loose.
[[nodiscard]] SideBits body_sides(std::size_t plane);
/// Every part on the surface.
[[nodiscard]] std::vector<PairIndex> all_parts_on(SurfaceClass c);

}  // namespace plumbmark::ruling
