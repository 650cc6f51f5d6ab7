// The station automaton: what one event of one world does, by docs/rulings.md, 'What a station says'. It
// knows no times, only the order of events and the moments at which deadlines come due.
#pragma once

#include <span>
#include <vector>

#include "ruling/internal/choices.h"
#include "ruling/internal/roles.h"
#include "ruling/internal/world_state.h"

namespace plumbmark::ruling {

struct Event;
class Foresight;

/// What is known of contacts beside the world itself.
struct Watch {
    const PairBits* covered = nullptr;  ///< what open watched spans vouch for before the step; null: nothing
    /// Whether a contact of which the world knows nothing is on, where what was marked later tells.
    const Foresight* ahead = nullptr;
    const PairBits* named = nullptr;  ///< contacts that marks still to come speak of, the step's own included
};

/// One run of the automaton over one step. Make one per step and per script of choices.
class Judge {
  public:
    /// 'mark' is the index of the seen event that this step is, -1 for an unseen event or a deadline.
    Judge(const Roles& roles, const WorldState& before, Choices& choices, std::int16_t mark,
          const Watch& watch = {});

    void touch(course::Part part, SurfaceClass surface, Grade grade);
    void release(course::Part part, SurfaceClass surface);
    /// crosser: a part's number, or kWhole.
    void cross(std::size_t crosser, std::size_t plane, Direction direction);
    void signal(SignalKind kind);
    void infraction(InfractionKind kind);
    void control();
    /// The one of the above that the event is.
    void act(const Event& event);
    void come_due(Deadline deadline);
    /// A statement: the part is on (or off) the surface now.
    void state_contact(course::Part part, SurfaceClass surface, bool on);
    /// A watched span opens over these contacts and sides, which no mark names: they are off and behind.
    void vouch(const PairBits& pairs, const SideBits& sides);
    /// Whether an unseen finish signal is possible now: some part is on the surface it is struck on.
    void unseen_finish();
    /// The world ends here: what is under way stays open, what has not begun is not reached.
    void end_of_world();

    [[nodiscard]] const WorldState& after() const { return world_; }
    /// The stations that this step decided.
    [[nodiscard]] std::span<const Fact> decided() const { return decided_; }
    [[nodiscard]] const ClockMoves& clocks() const { return clocks_; }

  private:
    [[nodiscard]] const StationRoles& here() const { return roles_.station(world_.at); }
    [[nodiscard]] bool first_fail_ends() const;

    // Facts that may have to be chosen.
    [[nodiscard]] bool on(PairIndex pair);
    [[nodiscard]] bool any_on(const std::vector<PairIndex>& pairs);
    [[nodiscard]] bool may_be_on(const std::vector<PairIndex>& pairs) const;
    [[nodiscard]] bool past(SideIndex side);
    [[nodiscard]] bool landing_contacts();
    [[nodiscard]] bool conditions_hold();
    [[nodiscard]] bool has_stood(std::size_t station);
    void require_consistent();
    [[nodiscard]] bool once_items_held();
    [[nodiscard]] bool crossed_sides_past();
    void note_standing(PairIndex pair);

    // Contacts and sides alone.
    void set_on(PairIndex pair, bool value);
    void set_past(SideIndex side, bool value);
    void set_crossed(std::size_t crosser, std::size_t plane, bool value);
    void cross_whole(std::size_t plane, bool forward);
    void cross_last_part(std::size_t plane);
    [[nodiscard]] bool some_part_behind(std::size_t plane) const;
    [[nodiscard]] bool asks_for_whole(std::size_t plane) const;
    [[nodiscard]] bool breaks_start_plane(std::size_t crosser, std::size_t plane) const;
    void give_start();

    // Under way.
    void touch_under_way(course::Part part, SurfaceClass surface, Grade grade);
    void release_under_way(SurfaceClass surface);
    /// A forbidden touch that is only a brush, or may be, on a course where a brush does not count.
    [[nodiscard]] bool is_passed_over(Grade grade);
    [[nodiscard]] bool item_allows(const Role& role, course::Part part) const;
    [[nodiscard]] bool use_matters(int item) const;
    /// False when that set off ahead of the start plane, which ended the attempt.
    [[nodiscard]] bool use_item(int item);
    [[nodiscard]] bool set_off();
    void reach(std::int32_t points);
    void breach(std::uint16_t clauses);
    void end_attempt(std::uint16_t clauses);
    void check_landing();
    void complete();

    // Between stations.
    void touch_waiting(course::Part part, SurfaceClass surface, Grade grade);
    void release_waiting(SurfaceClass surface);
    /// False when the station was not begun after all (the run ended, or it failed at once).
    [[nodiscard]] bool set_off_from_waiting(std::size_t station);
    void wait_for(std::size_t station, bool retrying);
    void begin(std::size_t station);
    void clear_attempt();
    void fail_here(std::uint16_t clauses);
    void decide(std::size_t station, Outcome outcome, std::uint16_t clauses);
    [[nodiscard]] bool is_undecided(std::size_t station) const {
        return world_.phase != Phase::ended && station >= world_.at;
    }
    /// Nothing more is to come: the station that has begun gets this outcome, those after it are not reached.
    void decide_rest(Outcome begun_one, std::uint16_t clauses);
    void end_run(std::uint16_t clauses);
    /// The run ends with the decision of this station, which was made just now.
    void end_run_after(std::size_t station);
    void stop(std::uint8_t deadlines) { world_.running &= static_cast<std::uint8_t>(~deadlines); }
    void start(Deadline deadline);

    const Roles& roles_;
    WorldState world_;
    Choices& choices_;
    std::int16_t mark_;
    Watch watch_;
    std::vector<Fact> decided_;
    ClockMoves clocks_;
};

constexpr std::uint16_t clause_bit(Clause clause) {
    return static_cast<std::uint16_t>(1U << static_cast<unsigned>(clause));
}

/// The clauses, as bits, that a touch of weight breaks on the station under way, as the world stands.
[[nodiscard]] std::uint16_t broken_by_touch(const Roles& roles, const WorldState& world, course::Part part,
                                            SurfaceClass surface);

/// Whether a touch does anything but make the contact: where it does not, a contact that nobody watches may
/// be there without anybody knowing since when.
[[nodiscard]] bool touch_tells(const Roles& roles, const WorldState& world, course::Part part,
                               SurfaceClass surface);

/// How long the deadline runs when it is started in this world.
[[nodiscard]] base::Duration length_of(const Roles& roles, Deadline deadline, const WorldState& world);

}  // namespace plumbmark::ruling
