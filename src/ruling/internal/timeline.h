// One world as a timeline: its events in order, each at a time that keeps every bracket, every order and
// every deadline.
#pragma once

#include <optional>
#include <vector>

#include "ruling/internal/inquiry.h"
#include "ruling/internal/replay.h"

namespace plumbmark::ruling {

/// When a turn can have been and when it is told to have been, on the clock of one clip, in nanoseconds.
struct Placed {
    std::size_t clip = 0;
    std::optional<std::int64_t> earliest;  ///< both ends allowed, with this order of events
    std::optional<std::int64_t> latest;
    std::int64_t at = 0;
};

/// A place for every turn; none when the turns fit no times (which a world of the search always does).
[[nodiscard]] std::optional<std::vector<Placed>> place(const Inquiry& inquiry,
                                                       const std::vector<Turn>& turns);

/// A world of one outcome of a station, still to be put into words.
struct Example {
    const Ending* ending = nullptr;
    std::vector<Turn> turns;
    std::vector<Placed> places;          ///< by turn
    std::optional<std::size_t> decided;  ///< index of the turn that decided the station
};

/// Among the endings with this outcome, the world that rests least on what nobody saw; none when there is
/// none.
[[nodiscard]] std::optional<Example> simplest_example(const Inquiry& inquiry, std::size_t station,
                                                      Outcome outcome);

/// What happened at this turn, for sentences; a deadline has no happening.
[[nodiscard]] std::optional<Happening> what_happened(const Inquiry& inquiry, const Turn& turn);

/// For a NOT SHOWN station: one world of each outcome it can have, cleared first.
[[nodiscard]] std::vector<World> worlds_of(const Inquiry& inquiry, std::size_t station);

}  // namespace plumbmark::ruling
