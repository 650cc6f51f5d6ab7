// What each surface and plane is for each station, worked out once a ruling: contacts are pairs of a part and
// a surface class, numbered, so that a world's contacts fit a few machine words.
#pragma once

#include <bitset>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "ruling/evidence.h"

namespace plumbmark::ruling {

inline constexpr std::size_t kMostPairs = 512;
inline constexpr std::size_t kMostSides = 256;
inline constexpr std::size_t kMostStations = 32;
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
};

struct ItemRoles {
    SurfaceClass surface = 0;
    course::PartSet parts;
    bool required = false;
    int after = -1;  ///< item index
    bool once = false;
    std::vector<PairIndex> pairs;  ///< every part on it
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
    std::vector<Role> roles;          ///< by surface class
    std::vector<PairIndex> on_start;  ///< every part on every start surface
    ContactWays landing;              ///< empty: no contact asked for
    std::vector<ItemRoles> items;
    std::vector<RowRoles> rows;
    std::vector<PlaneNeed> planes;
    std::vector<CreditPlane> credit_planes;
    std::vector<SideIndex> start_sides;  ///< sides that must be behind the start plane
    std::size_t start_plane = 0;
    bool has_start_plane = false;
    bool return_ends_attempt = false;  ///< some start surface is neither item nor landing
};

/// The tables of one ruling. Immutable once made.
class Roles {
  public:
    /// Error unsupported when the course is larger than the engine's words.
    [[nodiscard]] static base::Result<Roles> make(const course::CourseBook& book, const Evidence& evidence);

    [[nodiscard]] const course::CourseBook& book() const { return *book_; }
    [[nodiscard]] std::size_t station_count() const { return stations_.size(); }
    [[nodiscard]] const StationRoles& station(std::size_t k) const { return stations_[k]; }
    [[nodiscard]] std::size_t class_count() const { return class_count_; }
    [[nodiscard]] SurfaceClass class_of(course::SurfaceId surface) const;
    /// One surface that stands for the class; none for undeclared things.
    [[nodiscard]] course::SurfaceId surface_of(SurfaceClass c) const { return representative_[c]; }
    [[nodiscard]] PairIndex pair(course::Part part, SurfaceClass c) const {
        return static_cast<PairIndex>(static_cast<std::size_t>(part) * class_count_ + c);
    }
    [[nodiscard]] std::size_t plane_count() const { return book_->planes.size(); }
    [[nodiscard]] SideIndex side(std::size_t crosser, std::size_t plane) const {
        return static_cast<SideIndex>(plane * kCrossersCount + crosser);
    }
    [[nodiscard]] const std::vector<PairIndex>& on_finish() const { return on_finish_; }
    [[nodiscard]] std::optional<SurfaceClass> finish_class() const { return finish_class_; }
    /// Whether there is a finish signal at all: named, required, or struck on a surface.
    [[nodiscard]] bool has_finish() const;
    /// Pairs of one kind are on one surface class and no station's definition tells their parts apart.
    [[nodiscard]] std::uint32_t kind_of(PairIndex pair) const { return kinds_[pair]; }
    /// Pairs whose state can matter to station k or a later one.
    [[nodiscard]] const PairBits& matters_from(std::size_t k) const { return matters_from_[k]; }
    /// The pairs and sides that a watched span of this scope vouches for, and whether the finish is among
    /// them.
    [[nodiscard]] PairBits pairs_in(const Scope& scope) const;
    [[nodiscard]] SideBits sides_in(const Scope& scope) const;

  private:
    void make_classes(const Evidence& evidence);
    void make_station(std::size_t k);
    void make_landing(StationRoles& roles);
    void make_checkpoints(StationRoles& roles);
    void make_matters();
    void make_kinds();
    [[nodiscard]] std::vector<PairIndex> all_parts_on(SurfaceClass c) const;

    const course::CourseBook* book_ = nullptr;
    std::size_t class_count_ = 0;
    std::vector<SurfaceClass> class_by_surface_;
    std::vector<course::SurfaceId> representative_;
    std::vector<StationRoles> stations_;
    std::vector<PairIndex> on_finish_;
    std::optional<SurfaceClass> finish_class_;
    std::vector<PairBits> matters_from_;
    std::vector<std::uint32_t> kinds_;
};

}  // namespace plumbmark::ruling
