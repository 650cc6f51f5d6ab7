// What one world has come to: where each station stands, and what is known of contacts and of the sides of
// planes. A contact that is not known may be either; the judge decides it when it matters.
#pragma once

#include <array>
#include <cstdint>
#include <functional>

#include "ruling/internal/roles.h"
#include "ruling/ruling.h"

namespace plumbmark::ruling {

enum class Phase : std::uint8_t {
    before_start,  ///< no start signal yet
    under_way,     ///< station 'at' has begun
    waiting,       ///< station 'at' has not begun, or its next attempt has not
    after_last,    ///< every station is decided; the finish signal may still come
    ended,         ///< the run is over
};

enum class Outcome : std::uint8_t { undecided, cleared, failed, not_reached, open };

/// How one station was decided.
struct Decision {
    Outcome outcome = Outcome::undecided;
    std::uint16_t clauses = 0;  ///< bit set of Clause, for failed
    std::int16_t mark = -1;     ///< seen event at or after which it was decided: index of a mark; -1 none yet
    std::int32_t credit = 0;    ///< part credit, for failed and open
    friend auto operator<=>(const Decision&, const Decision&) = default;
};

/// One station decided in one step.
struct Fact {
    std::uint16_t station = 0;
    Decision decision;
    friend auto operator<=>(const Fact&, const Fact&) = default;
};

/// The running deadlines, as bits.
enum Deadline : std::uint8_t { kHold = 1, kStationCap = 2, kRest = 4, kRunCap = 8 };
inline constexpr std::array<Deadline, 4> kDeadlines{kHold, kStationCap, kRest, kRunCap};

/// What has come of it so far is counted only: how each station was decided is told with the step that
/// decided it, and two worlds that came here in different ways go on as one.
///
/// Only a station that is under way has been set off on; only one that was set off on holds; 'clear_of_start'
/// is true only after 'item_touched', and so is any bit of 'touched'; 'left' has only items that are once;
/// 'retrying' is true only while waiting.
struct Progress {
    Phase phase = Phase::before_start;
    std::uint8_t at = 0;         ///< the station under way or next
    std::uint8_t running = 0;    ///< deadlines running, bits of Deadline
    bool started = false;        ///< the start signal was given
    bool false_started = false;  ///< a false start before the signal: told against the first station
    bool set_off = false;
    bool holding = false;       ///< every landing condition holds now (a hold or a control mark is awaited)
    bool item_touched = false;  ///< in this attempt
    bool clear_of_start =
        false;  ///< since an item was touched, no part was on a start surface at some instant
    bool touched_unbegun =
        false;                  ///< waiting: an item was touched before the athlete stood on a start surface
    bool retrying = false;      ///< waiting for the next attempt of 'at', not for its first
    bool finished = false;      ///< the finish signal registered after the last station
    std::uint8_t attempts = 0;  ///< attempts ended on station 'at'
    std::int32_t credit = 0;    ///< most points of a checkpoint of 'at' reached so far, over its attempts
    std::uint8_t cleared = 0;   ///< stations cleared
    std::int32_t points = 0;    ///< where every station counts: of the stations decided so far
    std::uint32_t stood = 0;    ///< waiting: stations on whose start a part has stood since
    std::uint32_t crossed = 0;  ///< landing planes of 'at' that are crossed now
    std::uint64_t touched = 0;  ///< items of 'at' used in this attempt
    std::uint64_t left = 0;     ///< items of 'at' that every part has left since

    friend bool operator==(const Progress&, const Progress&) = default;
};

/// What is known of contacts and of the sides of planes; an unknown one is neither on nor past.
struct Position {
    PairBits on, on_known;
    SideBits past, past_known;

    friend bool operator==(const Position&, const Position&) = default;
    /// What is known here is known there likewise: any position that is 'other' is this one, too.
    [[nodiscard]] bool includes(const Position& other) const {
        return (on_known & ~other.on_known).none() && (past_known & ~other.past_known).none() &&
               ((on ^ other.on) & on_known).none() && ((past ^ other.past) & past_known).none();
    }
};

struct WorldState : Progress, Position {
    friend bool operator==(const WorldState&, const WorldState&) = default;
};

[[nodiscard]] std::size_t hash_value(const Progress& progress);

/// What a step does to the clocks, besides the running deadlines that start or stop.
struct ClockMoves {
    std::uint8_t start = 0;   ///< deadlines that start now
    bool mark_start = false;  ///< the start signal is now
    bool mark_done = false;   ///< a station was cleared now
};

}  // namespace plumbmark::ruling
