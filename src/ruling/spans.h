// How far apart two instants of a run lie, by everything that its evidence says: the brackets on each clip,
// what ties the clips' clocks, row delays, and clips that show order only. The bounds are those of the Simple
// Temporal Network of docs/rulings.md, section 2, worked out once over the clocks (Dechter, Meiri & Pearl,
// "Temporal constraint networks", Artificial Intelligence 49, 1991): the events themselves hang on the clocks
// only, so that a network over the clocks has all of it, and thousands of marks cost no more than they are.
//
// And by which marks the stations of a run begin and are completed, as the ruling has it.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <unordered_map>
#include <vector>

#include "base/result.h"
#include "ruling/evidence.h"
#include "ruling/ruling.h"

namespace plumbmark::ruling {

/// The least and the most that a length of time can be, both possible as far as the evidence says; none where
/// nothing bounds it. Instants are whole nanoseconds, so 'less than n' is 'at most n - 1'.
struct SpanBounds {
    std::optional<base::Duration> low, high;
    friend bool operator==(const SpanBounds&, const SpanBounds&) = default;
};

/// One way in which the worlds of a review come to an instant: with a mark, or so much later.
struct SettledBy {
    MarkId mark;  ///< none: no mark tells it, and only the end of the review does
    base::Duration later{0};
    /// Only that it was so by then is known: the event itself was not seen.
    bool at_the_latest = false;
    friend bool operator==(const SettledBy&, const SettledBy&) = default;
};

/// Immutable; any thread. Bounds of one review.
///
/// Laws: between(a, b) is between(b, a) with its ends turned round and negated. A finer bracket or one more
/// tie never widens a bound. Order on a clip is exact whatever its clock does: where one bracket ends before
/// the other begins the bound has the sign of that order.
class Spans {
  public:
    /// Errors: bad_input (a bracket that is empty, or that names no clip of the evidence), contradiction (the
    /// clips' clocks cannot lie so that all brackets hold). Marks that may not have happened tie no clocks,
    /// as in a ruling. Of a clip that shows order only, at most 64 marks that other clips show too are taken
    /// as ties; leaving one out loosens a bound and makes none wrong.
    [[nodiscard]] static base::Result<Spans> make(const Evidence& evidence, const Settings& settings = {});

    /// Bounds of 'to' minus 'from', each the instant of which all these sightings hold. Rounded outward for
    /// the stated drift of a clip's clock, the same way as a hold or a split of a ruling; how the clips lie
    /// to each other is held to be the same all through the run. Cost: the product of the numbers of
    /// sightings.
    [[nodiscard]] SpanBounds between(std::span<const Sighting> from, std::span<const Sighting> to) const;
    /// The same of two marks of the evidence. Stops the program for one that it does not have.
    [[nodiscard]] SpanBounds between(MarkId from, MarkId to) const;
    /// Over all pairs of ways: the least of the least and the most of the most. None where there is no way.
    [[nodiscard]] SpanBounds between(std::span<const SettledBy> from, std::span<const SettledBy> to) const;

    /// Where on the clip's own clock the instant lies, in nanoseconds, without drift; on a clip that shows
    /// order only, by its sightings on that clip alone.
    [[nodiscard]] SpanBounds on_clip(ClipIndex clip, std::span<const Sighting> instant) const;
    /// A number by which instants can be put in a likely order; where brackets do not overlap on a clip, it
    /// is the true one. An instant without a sighting comes last.
    [[nodiscard]] std::int64_t likely_place(std::span<const Sighting> instant) const;

    [[nodiscard]] std::span<const Sighting> sightings(MarkId mark) const;
    /// Whether every clip's clock gives lengths of time.
    [[nodiscard]] bool durations_known() const { return durations_known_; }

  private:
    struct Clip {
        bool known = true;
        std::int64_t row_delay = 0;
        std::size_t clock = 0;                                         ///< where known
        std::vector<std::pair<std::int64_t, std::size_t>> tie_clocks;  ///< else: by moment of the clip
        std::int64_t likely_offset = 0;
    };
    /// An end of a bracket: clock + time.
    struct End {
        std::size_t clock = 0;
        std::int64_t time = 0;
    };
    Spans() = default;
    void give_clocks(const Evidence& evidence);
    void tie(const Evidence& evidence);
    [[nodiscard]] bool close();
    void guess_offsets();
    void bound(std::size_t from, std::size_t to, std::int64_t most);
    [[nodiscard]] std::int64_t most(std::size_t from, std::size_t to) const;
    [[nodiscard]] std::int64_t until_of(const Sighting& seen) const;
    [[nodiscard]] std::optional<End> early(const Sighting& seen) const;
    [[nodiscard]] std::optional<End> late(const Sighting& seen) const;
    /// The most that 'to' minus 'from' is less than, before drift.
    [[nodiscard]] std::optional<std::int64_t> less_than(std::span<const Sighting> from,
                                                        std::span<const Sighting> to) const;

    std::vector<Clip> clips_;
    std::size_t clocks_ = 0;
    std::vector<std::int64_t> most_;  ///< row 'from', column 'to': the most that 'to' can be ahead
    std::vector<std::vector<Sighting>> marks_;
    std::unordered_map<MarkId, std::size_t> index_;
    bool durations_known_ = true;
    Settings settings_;
};

/// By which marks a station begins and is completed, over all worlds that reach, or clear, it.
struct StationMoments {
    course::StationId station;
    Verdict verdict = Verdict::not_reached;  ///< with 'if_reached', as rule_run has them
    bool if_reached = false;
    std::vector<SettledBy> begins;     ///< empty: no world reaches it
    std::vector<SettledBy> completes;  ///< empty: no world clears it
};

/// For every station of the book, in its order. The events are those of the ruling: a station that shares its
/// start begins at the completion before it, the first at the start signal, any other at its set-off
/// (docs/rulings.md, section 4). Where worlds differ, all of their events stand there; where the order of
/// marks leaves open which of them it was, or the beginning of a hold is one of several, all that it can have
/// been. Errors as rule_run. Costs what the bare ruling costs, without explanations.
[[nodiscard]] base::Result<std::vector<StationMoments>> station_moments(const PreparedCourse& course,
                                                                        const Evidence& evidence,
                                                                        const Settings& settings = {});

}  // namespace plumbmark::ruling
