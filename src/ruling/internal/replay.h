// One world told step by step: what the search only keeps as 'not known' (a contact where nobody watches) is
// worked out again, so that every change of it stands as an event, seen or unseen.
#pragma once

#include <optional>
#include <vector>

#include "ruling/internal/decide.h"
#include "ruling/internal/judge.h"

namespace plumbmark::ruling {

/// One step of a world, with all that it took.
struct Turn {
    Step step;
    WorldState before;
    WorldState after;
    std::uint8_t started = 0;  ///< deadlines that started now
    std::vector<Fact> facts;   ///< stations decided now
};

/// The turns of the world behind an ending, in order; unseen changes that the search left implied are put in.
/// Steps that only skip a possible event are left out.
[[nodiscard]] std::vector<Turn> replay(const Decided& decided, const Ending& ending);

/// Whether the turn cleared or failed the station.
[[nodiscard]] bool decides(const Turn& turn, std::size_t station);
/// Index of the turn that decided the station; none when it stayed open or was not reached.
[[nodiscard]] std::optional<std::size_t> deciding_turn(const std::vector<Turn>& turns, std::size_t station);
/// Index of the turn with which the station's first attempt began; none when it never did.
[[nodiscard]] std::optional<std::size_t> beginning_turn(const std::vector<Turn>& turns, std::size_t station);
/// How much of it rests on nothing in the review: turns that nobody saw, and, twice as heavy, contacts that
/// are there without ever having been marked, stated or made.
[[nodiscard]] std::size_t strangeness(const Roles& roles, const std::vector<Turn>& turns);

/// The happening of an event, in ids of the book.
[[nodiscard]] Happening happening_of(const Roles& roles, const Event& event);

}  // namespace plumbmark::ruling
