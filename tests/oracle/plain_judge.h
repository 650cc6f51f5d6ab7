// The plain judge: what one event of one world does, by section 4 of docs/rulings.md, written as directly as
// the text allows and sharing nothing with the engine but the types of its input.
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <optional>
#include <type_traits>
#include <vector>

#include "course/book.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"

namespace plumbmark::oracle {

/// An instant of one world, counted from where the world stands (see clocks.h).
using Step = std::int32_t;
inline constexpr Step kNever = -1;
inline constexpr std::size_t kMostStations = 3;
inline constexpr std::size_t kMostSurfaces = 10;  // the last one stands for everything undeclared
inline constexpr std::size_t kMostPlanes = 3;
inline constexpr std::size_t kParts = 6;
inline constexpr std::size_t kWhole = 6;  // the whole athlete, as one that crosses

enum class Stage : std::uint8_t { before_start, under_way, waiting, all_decided, over };
enum class Outcome : std::uint8_t { undecided, cleared, failed, not_reached, open };

struct Ruled {
    Outcome outcome = Outcome::undecided;
    ruling::Clause clause = ruling::Clause::landing;  ///< for failed: the first one that its last event broke
    std::int16_t credit = 0;  ///< failed or open: points of the best checkpoint reached
    friend auto operator<=>(const Ruled&, const Ruled&) = default;
};

/// A yes, a no, or either.
struct Bits {
    std::uint64_t yes = 0;
    std::uint64_t known = 0;
    void set(std::size_t bit, bool value) {
        known |= std::uint64_t{1} << bit;
        yes = value ? yes | std::uint64_t{1} << bit : yes & ~(std::uint64_t{1} << bit);
    }
    void forget(std::uint64_t mask) {
        known &= ~mask;
        yes &= ~mask;
    }
    [[nodiscard]] bool is_known(std::size_t bit) const { return ((known >> bit) & 1U) != 0; }
    [[nodiscard]] bool is_set(std::size_t bit) const { return ((yes >> bit) & 1U) != 0; }
    friend bool operator==(const Bits&, const Bits&) = default;
};

/// Everything that the past of one world means for its future. Without gaps between its members, so that two
/// are equal when their bytes are.
struct RunState {
    Bits contacts;           ///< part * kMostSurfaces + surface
    Bits sides;              ///< (part or whole) * kMostPlanes + plane: past it
    Step hold_due = kNever;  ///< the running deadlines
    Step cap_due = kNever;
    Step rest_due = kNever;
    Step run_cap_due = kNever;
    std::uint32_t marks_done = 0;  ///< kept by the enumeration of worlds
    std::uint16_t used = 0;        ///< items of this station touched in this attempt
    std::uint16_t left = 0;        ///< ... that every part has left since
    std::array<Ruled, kMostStations> ruled{};
    std::int16_t credit = 0;  ///< points of the best checkpoint that this station's attempts have reached
    Stage stage = Stage::before_start;
    std::int8_t station = 0;
    std::int8_t attempts_used = 0;
    bool begun = false;  ///< the station has begun (also between its attempts)
    bool set_off = false;
    bool item_touched = false;       ///< in this attempt
    bool off_start_since = false;    ///< and at some instant since, no part was on a start surface
    bool touched_too_early = false;  ///< waiting: an item was touched before standing on a start surface
    bool false_start = false;        ///< one was called before the signal
    bool finished = false;           ///< the finish signal registered after the last station
    std::uint8_t stood = 0;          ///< waiting: stations on whose start some part has stood
    std::uint8_t crossed = 0;        ///< landing planes of this station that are crossed
    std::array<std::uint8_t, 6> unused{};
    friend bool operator==(const RunState&, const RunState&) = default;
};
static_assert(std::has_unique_object_representations_v<RunState>);

/// How an instant and a duration make a deadline. With lengths of time: so many units later. With nothing
/// known of any length, a deadline may come due at any time; of those that run from one event the order is
/// known, which is what their value then tells: the number of the event, and the length.
struct Durations {
    static constexpr Step kUnit = 16;  ///< steps in a unit: room for the order of what falls between
    static constexpr Step kSometime = kUnit * 1'000;
    std::int64_t unit_ns = 1;
    bool known = true;
    [[nodiscard]] Step after(Step now, base::Duration d) const {
        return now + kUnit * static_cast<Step>(d.ns / unit_ns) + (known ? 0 : kSometime);
    }
};

class PlainJudge {
  public:
    /// 'parts' are those that can matter; a pair of part and surface outside 'tracked' has no memory.
    PlainJudge(const course::CourseBook& book, Durations durations, std::vector<course::Part> parts,
               std::uint64_t tracked)
        : book_(book), durations_(durations), parts_(std::move(parts)), tracked_(tracked) {}

    using States = std::vector<RunState>;

    /// Adds the states that one event at this instant can lead to; several where something unknown had to be
    /// either, none where the event cannot happen (a touch by a part that is on the surface already).
    void happen(const RunState& before, const ruling::Happening& what, Step now, States& after) const;
    /// The same for an unseen finish signal, which needs some part on the surface where it is struck.
    void unseen_finish(const RunState& before, Step now, States& after) const;
    /// Deadlines that come due before, and after, the event of this instant.
    void due_before(const RunState& before, Step now, States& after) const;
    void due_after(const RunState& before, Step now, States& after) const;
    /// Nothing more happens: the deadlines run out, and what is then under way stays open.
    void end_of_world(const RunState& before, States& after) const;
    /// True when the state agrees with this statement, which is then known.
    [[nodiscard]] static bool state_contact(RunState& state, std::size_t pair, bool on);

    [[nodiscard]] static std::size_t pair(course::Part part, course::SurfaceId surface);
    [[nodiscard]] static std::size_t side(std::optional<course::Part> part, course::PlaneId plane);

  private:
    template <class Body>
    void in_every_world(const RunState& before, Step now, States& after, const Body& body) const;

    const course::CourseBook& book_;
    Durations durations_;
    std::vector<course::Part> parts_;
    std::uint64_t tracked_;
};

}  // namespace plumbmark::oracle
