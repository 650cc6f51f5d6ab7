// What may have happened where nobody watched.
#include <algorithm>

#include "ruling/internal/search_branch.h"

namespace plumbmark::ruling {

namespace {

bool is_first(std::vector<std::uint32_t>& met, std::uint32_t kind) {
    if (std::find(met.begin(), met.end(), kind) != met.end()) return false;
    met.push_back(kind);
    return true;
}

}  // namespace

/// Of a surface that no station uses, any one touch does what every other would. Something undeclared is
/// always there, and watched only where everything is.
void Search::add_out_of_play(const Coverage& covered, std::vector<Event>& events) const {
    const auto add_first_of = [&](SurfaceClass c) {
        if (roles_.is_empty(c)) return false;
        for (const course::Part part : course::kAllParts) {
            if (covered.pairs[roles_.pair(part, c)]) continue;
            Event event;
            event.part = part;
            event.surface = c;
            events.push_back(event);
            return true;
        }
        return false;
    };
    if (add_first_of(CourseRoles::kRest)) return;
    for (std::size_t c = roles_.used_class_count(); c < roles_.class_count(); ++c) {
        if (add_first_of(static_cast<SurfaceClass>(c))) return;
    }
    add_first_of(CourseRoles::kUndeclared);
}

std::vector<Event> Search::unseen_events(const State& from, const Coverage& covered) const {
    std::vector<Event> events;
    const WorldState& world = from.world;
    const bool under_way = world.phase == Phase::under_way;
    if (!under_way && world.phase != Phase::waiting) return events;
    const bool loose_counts = roles_.book().loose_counts;
    // Whoever fails on a surface of a later station is there when the waiting begins, where coming later
    // might set off on an earlier one.
    const bool waits_after_fail =
        under_way && (roles_.book().format == course::Format::every_station_counts ||
                      world.attempts + 1 < roles_.station(world.at).station->attempts);
    for (SurfaceClass c = CourseRoles::kFirstUsed; c < roles_.class_count(); ++c) {
        bool matters_waiting = false;
        for (std::size_t k = world.at; k < roles_.station_count() && (!under_way || waits_after_fail); ++k) {
            const Role& role = roles_.role(k, c);
            matters_waiting |= role.start || role.landing || role.item >= 0;
        }
        const Role& role = roles_.role(world.at, c);
        const bool own = role.start || role.landing || role.item >= 0 || role.previous_item;
        if (!matters_waiting && (!under_way || !own)) continue;
        std::vector<std::uint32_t> touched, released;
        for (const course::Part part : course::kAllParts) {
            const PairIndex pair = roles_.pair(part, c);
            if (part == course::Part::loose && !loose_counts) continue;
            if (covered.pairs[pair]) continue;
            // Of parts that nothing tells apart, one speaks for all: one that is not known to be off, for a
            // release. Where nobody watches, no more than that is ever known.
            const bool known_off = world.on_known[pair];
            Event event;
            event.part = part;
            event.surface = c;
            event.kind = EventKind::touch;
            // A mark to come tells its part from the others: it may have been the one that came.
            if (named_[pair] || is_first(touched, roles_.kind_of(pair))) events.push_back(event);
            if (under_way && !own) continue;
            event.kind = EventKind::release;
            if (!known_off && is_first(released, roles_.kind_of(pair))) events.push_back(event);
        }
    }
    if (under_way) add_out_of_play(covered, events);
    if (!under_way) return events;
    const StationRoles& station = roles_.station(world.at);
    for (std::size_t plane = 0; plane < roles_.plane_count(); ++plane) {
        const auto is_this = [plane](const auto& need) { return need.plane == plane; };
        const bool needed = std::any_of(station.planes.begin(), station.planes.end(), is_this) ||
                            std::any_of(station.credit_planes.begin(), station.credit_planes.end(), is_this);
        if (!needed && !(station.has_start_plane && station.start_plane == plane)) continue;
        for (std::size_t crosser = 0; crosser < kCrossersCount; ++crosser) {
            if (covered.sides[roles_.side(crosser, plane)]) continue;
            for (const Direction direction : {Direction::forward, Direction::back}) {
                Event event;
                event.kind = EventKind::cross;
                event.crosser = static_cast<std::uint8_t>(crosser);
                event.plane = static_cast<std::uint8_t>(plane);
                event.direction = direction;
                events.push_back(event);
            }
        }
    }
    return events;
}

void Search::step_unseen(const State& from) {
    if (from.world.phase == Phase::ended || from.world.phase == Phase::before_start) return;
    const bool no_finish = covered_.finish || !roles_.has_finish();
    // Only a span over the whole athlete vouches for what is undeclared, and that for all planes, too.
    const bool all_watched = (roles_.all_pairs() & ~covered_.pairs).none();
    if (all_watched && no_finish) return;
    const std::vector<Event> events = unseen_events(from, covered_);
    if (events.empty() && no_finish) return;
    const std::optional<Zone> zone = zone_for_event(from, kMostMarks);
    if (!zone) return;
    for (const Event& event : events) {
        Step step;
        step.kind = Step::Kind::unseen;
        step.event = event;
        branch(from, {*zone, from.done, from.passed}, step, [&](Judge& judge) { judge.act(event); });
    }
    if (no_finish) return;
    Step step;
    step.kind = Step::Kind::unseen;
    step.unseen_finish = true;
    step.event.kind = EventKind::signal;
    step.event.signal = SignalKind::finish_registers;
    branch(from, {*zone, from.done, from.passed}, step, [](Judge& judge) { judge.unseen_finish(); });
}

}  // namespace plumbmark::ruling
