// The evidence made ready for the search: events in the automaton's numbers, brackets as integers, and each
// clip's span ends and statements in order of time.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "base/result.h"
#include "ruling/evidence.h"
#include "ruling/internal/bits.h"
#include "ruling/internal/foresight.h"
#include "ruling/internal/roles.h"

namespace plumbmark::ruling {

enum class EventKind : std::uint8_t { touch, release, cross, signal, infraction, control };

/// One event in the automaton's numbers.
struct Event {
    EventKind kind = EventKind::touch;
    course::Part part = course::Part::other;
    SurfaceClass surface = 0;
    std::uint8_t crosser = kWhole;
    std::uint8_t plane = 0;
    Grade grade = Grade::ungraded;
    Direction direction = Direction::forward;
    SignalKind signal = SignalKind::start_given;
    InfractionKind infraction = InfractionKind::assistance;
    friend auto operator<=>(const Event&, const Event&) = default;
};

/// A moment on a clock: what is known of it is that the clock then stands at 'time'. A clip has one clock; a
/// clip whose capture time is unknown, beside other clips, has one for each of its moments (all standing at
/// 0), of which no more is known than their order: otherwise the length of a stretch on that clip would tell
/// what lay between two events of another.
struct Instant {
    std::size_t clock = 0;
    std::int64_t time = 0;
};

/// A bracket on one clip: after < t <= until, in nanoseconds of that clip's clock as its file has it.
struct Interval {
    std::size_t clip = 0;
    std::optional<std::int64_t> after;
    std::optional<std::int64_t> until;
    Instant after_at, until_at;  ///< the same two as the search has them
};

struct PreparedMark {
    std::vector<Event> alternatives;
    bool possible = false;
    bool only_ties = false;  ///< a shared moment: no event of the run, and without alternatives here
    std::vector<Interval> intervals;
    PairBits pairs;  ///< contacts it speaks of
    SideBits sides;
};

/// What the open spans of a clip vouch for.
struct Coverage {
    PairBits pairs;
    SideBits sides;
    bool finish = false;
    void add(const Coverage& other) {
        pairs |= other.pairs;
        sides |= other.sides;
        finish |= other.finish;
    }
};

/// A fixed moment of a clip: a span opens or closes, or a contact is stated.
struct Moment {
    std::int64_t time = 0;  ///< on the clip's clock as its file has it
    int statement = -1;     ///< index into Prepared::statements; -1: a span's end
    PairBits pairs;         ///< for a statement
    Coverage after;         ///< what is vouched for from here to the clip's next moment
    Instant at;             ///< 'time' as the search has it
    PairBits stated_with;   ///< contacts stated later at the same instant
    PairBits pairs_from;    ///< contacts stated at this moment or a later one of the clip
};

/// A mark in its place among all of them.
struct MarkInTime {
    std::size_t mark = 0;
    PairBits pairs_from;  ///< contacts that this mark or a later one speaks of
    SideBits sides_from;
};

struct PreparedStatement {
    course::Part part = course::Part::other;
    SurfaceClass surface = 0;
    bool on = true;
};

/// A moment of a clip whose capture time is unknown.
struct LooseMoment {
    std::int64_t time = 0;  ///< as the file has it
    std::size_t clock = 0;
};

struct Prepared {
    std::vector<PreparedMark> marks;  ///< in the order of Evidence::marks
    MarkBits possible;                ///< those that may not have happened
    MarkBits only_ties;               ///< shared moments: the search never comes to them
    std::vector<MarkInTime> by_time;  ///< roughly: by the late end of the first bracket that has one
    std::vector<PreparedStatement> statements;
    std::vector<std::vector<Moment>> moments;  ///< by clip, ascending
    PairBits named_pairs;                      ///< contacts that some mark or statement speaks of
    SideBits named_sides;
    std::size_t clips = 0;
    std::size_t clocks = 0;
    /// By clip: the moments that have a clock each, ascending; empty for a clip with one clock.
    std::vector<std::vector<LooseMoment>> loose;
    std::vector<std::size_t> clock_of;  ///< by clip: its one clock
    bool durations_known = true;
    ForesightTable foresight;
};

/// Checks the evidence against the book and prepares it. Error bad_input: an id that the book or the evidence
/// does not have, an empty bracket, a span that runs backwards, two marks with one id, a mark without
/// alternatives, a shared moment that is in doubt.
[[nodiscard]] base::Result<Prepared> prepare(const Roles& roles, const Evidence& evidence);

/// A moment of a clip that some bracket, span or statement names, as the search has it.
[[nodiscard]] Instant instant_of(const Prepared& prepared, std::size_t clip, std::int64_t time);

/// What all clips together vouch for once the first passed[c] moments of each clip c lie behind.
[[nodiscard]] Coverage coverage_at(const Prepared& prepared, std::span<const std::uint16_t> passed);

/// The contacts and sides that marks and statements still to come speak of.
struct Named {
    PairBits pairs;
    SideBits sides;
};
/// Once these marks are done and the first passed[c] moments of each clip c lie behind.
[[nodiscard]] Named named_from(const Prepared& prepared, const MarkBits& done,
                               std::span<const std::uint16_t> passed);

/// How far a length of time read off a clip's clock may be off, which runs fast or slow within the stated
/// drift; nanoseconds, rounded up.
[[nodiscard]] std::int64_t drift_over(std::int64_t length, const Settings& settings);

/// Of an event of the run; a shared moment is none.
[[nodiscard]] Event event_of(const Roles& roles, const Happening& what);

}  // namespace plumbmark::ruling
