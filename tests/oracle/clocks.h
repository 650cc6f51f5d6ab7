// Dense time without a grid. Lengths are whole units, so of the instants at which deadlines come due (and at
// which a second clip has its frames) only two things matter: in which unit they fall, and in which order
// their fractions of a unit stand. That is the region construction of R. Alur and D. L. Dill, A theory of
// timed automata (Theoretical Computer Science 126, 1994). Fractions in use are numbered 1, 2, ... in
// ascending order; 0 is the whole unit. A world stands between two of them, in a gap that any number of
// events fit into, each at a fraction of its own.
#pragma once

#include <array>
#include <bit>
#include <type_traits>

#include "oracle/stretches.h"

namespace plumbmark::oracle {

/// Where a world stands: how many named moments lie behind, and where it stands between the fractions.
struct Place {
    Passed passed{};
    std::uint8_t gap = 0;              ///< after this fraction, before the next
    std::uint8_t second_fraction = 0;  ///< at which the second clip has its frames; 0: it needs none
    std::int16_t unit = 0;             ///< between this whole unit and the next; 0 without lengths of time
    std::int16_t unused = 0;
    friend bool operator==(const Place&, const Place&) = default;
};
static_assert(std::has_unique_object_representations_v<Place>);

namespace clocks {

inline std::array<Step RunState::*, 4> deadlines() {
    return {&RunState::hold_due, &RunState::cap_due, &RunState::rest_due, &RunState::run_cap_due};
}

inline bool running(const RunState& state) {
    for (const auto deadline : deadlines()) {
        if (state.*deadline != kNever) return true;
    }
    return false;
}

/// The fractions in use, as bits.
inline unsigned in_use(const Place& place, const RunState& state) {
    unsigned fractions = 1U << place.second_fraction;
    for (const auto deadline : deadlines()) {
        if (state.*deadline != kNever) fractions |= 1U << (state.*deadline % Durations::kUnit);
    }
    return fractions & ~1U;
}

/// Makes a fraction of its own for an event in this gap: it then is number gap + 1.
inline void make_room(Place& place, RunState& state) {
    for (const auto deadline : deadlines()) {
        if (state.*deadline != kNever && state.*deadline % Durations::kUnit > place.gap) ++(state.*deadline);
    }
    if (place.second_fraction > place.gap) ++place.second_fraction;
}

/// Numbers the fractions that are still in use anew; the world stands just after 'now'.
inline void renumber(Place& place, RunState& state, Step now) {
    const unsigned fractions = in_use(place, state);
    const auto number = [&](Step fraction) {
        return std::popcount(fractions & ((2U << static_cast<unsigned>(fraction)) - 1U));
    };
    for (const auto deadline : deadlines()) {
        if (state.*deadline == kNever) continue;
        const Step fraction = state.*deadline % Durations::kUnit;
        if (fraction > 0) state.*deadline += number(fraction) - fraction;
    }
    if (place.second_fraction > 0)
        place.second_fraction = static_cast<std::uint8_t>(number(place.second_fraction));
    place.gap = static_cast<std::uint8_t>(number(now));
}

/// One whole unit has passed.
inline void next_unit(RunState& state) {
    for (const auto deadline : deadlines()) {
        if (state.*deadline != kNever) state.*deadline -= Durations::kUnit;
    }
}

}  // namespace clocks
}  // namespace plumbmark::oracle
