// The plain judge: what one event of one world does, by section 4 of docs/rulings.md, written as directly as
// the text allows and sharing nothing with the engine but the types of its input. It works on whole steps of
// a grid.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "course/book.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"

namespace plumbmark::oracle {

using Step = std::int32_t;
inline constexpr Step kNever = -1;
inline constexpr std::size_t kMostStations = 3;
inline constexpr std::size_t kMostSurfaces = 9;  // the last one stands for everything undeclared
inline constexpr std::size_t kMostPlanes = 3;
inline constexpr std::size_t kParts = 6;
inline constexpr std::size_t kWhole = 6;  // the whole athlete, as one that crosses

enum class Stage : std::uint8_t { before_start, under_way, waiting, all_decided, over };
enum class Outcome : std::uint8_t { undecided, cleared, failed, not_reached, open };

struct Ruled {
    Outcome outcome = Outcome::undecided;
    ruling::Clause clause =
        ruling::Clause::landing;  ///< for failed: the first clause that its last event broke
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

/// Everything that the past of one world means for its future.
struct RunState {
    Stage stage = Stage::before_start;
    std::int8_t station = 0;
    std::int8_t attempts_used = 0;
    bool begun = false;  ///< the station has begun (also between its attempts)
    bool set_off = false;
    bool item_touched = false;     ///< in this attempt
    bool off_start_since = false;  ///< and at some instant since, no part was on a start surface
    bool touched_too_early =
        false;                 ///< waiting: an item was touched before the athlete stood on a start surface
    bool false_start = false;  ///< one was called before the signal
    bool finished = false;     ///< the finish signal registered after the last station
    std::uint8_t stood = 0;    ///< waiting: stations on whose start some part has stood
    std::uint8_t crossed = 0;  ///< landing planes of this station that are crossed
    std::uint16_t used = 0;    ///< items of this station touched in this attempt
    std::uint16_t left = 0;    ///< ... that every part has left since
    Step hold_due = kNever;
    Step cap_due = kNever;
    Step rest_due = kNever;
    Step run_cap_due = kNever;
    std::array<Ruled, kMostStations> ruled{};
    Bits contacts;                 ///< part * kMostSurfaces + surface
    Bits sides;                    ///< (part or whole) * kMostPlanes + plane: past it
    std::uint32_t marks_done = 0;  ///< kept by the enumeration of worlds
    friend bool operator==(const RunState&, const RunState&) = default;
};

/// Steps of the grid for one of the book's durations.
struct Grid {
    std::int64_t step_ns = 1;
    [[nodiscard]] Step steps(base::Duration d) const { return static_cast<Step>(d.ns / step_ns); }
};

class PlainJudge {
  public:
    /// 'parts' are those that can matter; a pair of part and surface outside 'tracked' has no memory.
    PlainJudge(const course::CourseBook& book, Grid grid, std::vector<course::Part> parts,
               std::uint64_t tracked)
        : book_(book), grid_(grid), parts_(std::move(parts)), tracked_(tracked) {}

    /// The states that one event at this step can lead to; several where something unknown had to be either,
    /// none where the event cannot happen (a touch by a part that is on the surface already).
    [[nodiscard]] std::vector<RunState> happen(const RunState& before, const ruling::Happening& what,
                                               Step now) const;
    /// The same for an unseen finish signal, which needs some part on the surface where it is struck.
    [[nodiscard]] std::vector<RunState> unseen_finish(const RunState& before, Step now) const;
    /// Deadlines that come due before, and after, the events of this step.
    [[nodiscard]] std::vector<RunState> due_before(const RunState& before, Step now) const;
    [[nodiscard]] std::vector<RunState> due_after(const RunState& before, Step now) const;
    /// Nothing more happens: the deadlines run out, and what is then under way stays open.
    [[nodiscard]] std::vector<RunState> end_of_world(const RunState& before, Step now) const;
    /// True when the state agrees with this statement, which is then known.
    [[nodiscard]] static bool state_contact(RunState& state, std::size_t pair, bool on);

    [[nodiscard]] static std::size_t pair(course::Part part, course::SurfaceId surface);
    [[nodiscard]] static std::size_t side(std::optional<course::Part> part, course::PlaneId plane);

  private:
    const course::CourseBook& book_;
    Grid grid_;
    std::vector<course::Part> parts_;
    std::uint64_t tracked_;
};

/// Replays a whole list of events (step, event), ascending, from a state; every state it can end in.
[[nodiscard]] std::vector<RunState> replay(const PlainJudge& judge, const RunState& from,
                                           const std::vector<std::pair<Step, ruling::Happening>>& events,
                                           Step end);

}  // namespace plumbmark::oracle
