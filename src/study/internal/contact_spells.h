// Contacts of one run in time: each part on each surface from when to when, and from them the stretches in
// which some part of a group is on something, or none is.
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <span>
#include <vector>

#include "study/run_figures.h"

namespace plumbmark::study {

/// An instant that is bounded by what is seen: not before the instant of 'low', not after that of 'high'.
/// Both the same where a mark is the instant.
struct Edge {
    std::optional<std::span<const ruling::Sighting>> low, high;
    ruling::MarkId mark;
};

/// A part on a surface. Refers to the evidence.
struct Spell {
    course::Part part = course::Part::other;
    course::SurfaceId surface;
    Edge touch, leave;
    std::int64_t place =
        0;  ///< likely, of the touch; where that was not seen, of the first that says it is on
    Doubt doubt;
};

/// What is watched, by clip. A stretch is watched where one clip's spans hold all of it.
class Watching {
  public:
    Watching(const ruling::Evidence& evidence, const ruling::Spans& spans);
    /// The surface (invalid: something undeclared), or the whole athlete, all the way between the two.
    [[nodiscard]] bool surface(course::SurfaceId surface, const Edge& from, const Edge& to) const;
    [[nodiscard]] bool athlete(const Edge& from, const Edge& to) const;

    struct Part {
        std::int64_t after = 0, until = 0;
    };
    using Parts = std::vector<Part>;  ///< ascending, apart
    [[nodiscard]] const Parts& athlete_on(std::size_t clip) const { return whole_[clip]; }
    /// The part of the clip, over the surface, that holds this moment; none.
    [[nodiscard]] std::optional<Part> around(course::SurfaceId surface, std::size_t clip,
                                             std::int64_t time) const;

  private:
    [[nodiscard]] const Parts& over(course::SurfaceId surface, std::size_t clip) const;
    [[nodiscard]] bool holds(const Edge& from, const Edge& to,
                             const std::function<const Parts&(std::size_t)>& parts) const;

    const ruling::Spans& spans_;
    std::vector<Parts> whole_;                               ///< by clip
    std::vector<std::map<course::SurfaceId, Parts>> named_;  ///< by clip: with those of the whole athlete
};

/// Bounds of 'to' minus 'from'.
[[nodiscard]] ruling::SpanBounds between(const ruling::Spans& spans, const Edge& from, const Edge& to);

/// Some part of a group on something, all through: from the earliest of the touches of 'firsts' to the latest
/// of the leavings of 'lasts'.
struct Hold {
    std::vector<const Spell*> firsts, lasts;
    /// Where one spell may have ended before the next began.
    std::vector<std::pair<const Spell*, const Spell*>> joints;
    Doubt doubt;
};
/// Holds that are one unless they surely were apart. 'spells' in the order of their places.
[[nodiscard]] std::vector<Hold> holds_of(const ruling::Spans& spans, const std::vector<const Spell*>& spells);

/// A stretch from the latest of several instants to the earliest of several; each is itself the earliest, or
/// the latest, of a group.
struct FuzzyStretch {
    std::vector<std::vector<const Edge*>> from;                 ///< the latest of the earliest of each
    std::vector<std::vector<const Edge*>> to;                   ///< the earliest of the latest of each
    std::vector<std::pair<const Spell*, const Spell*>> joints;  ///< what may be missing inside
    Doubt doubt;
    bool may_not_be = false;  ///< whatever its ends say
};
/// None where it surely was not.
[[nodiscard]] std::optional<Length> length_of(const ruling::Spans& spans, const FuzzyStretch& stretch);

/// No part of a group on anything, wherever that may have been.
struct Gap {
    FuzzyStretch stretch;
    /// Spells that were there before, and those that ended it; nobody looked at for one that rests on the
    /// order of two spells being other than is likely.
    std::vector<const Spell*> before, after;
};
/// 'spells' in the order of their places. The last is open to the end; before the first there is none.
[[nodiscard]] std::vector<Gap> gaps_of(const ruling::Spans& spans, const std::vector<const Spell*>& spells);

/// All contacts that the evidence names, in the order of their places.
class ContactSpells {
  public:
    ContactSpells(const ruling::Evidence& evidence, const ruling::Spans& spans, const Watching& watching);
    ContactSpells(const ContactSpells&) = delete;
    ContactSpells& operator=(const ContactSpells&) = delete;
    [[nodiscard]] const std::vector<Spell>& all() const { return all_; }
    /// Of these parts; with 'surfaces', on these alone.
    [[nodiscard]] std::vector<const Spell*> of(course::PartSet parts,
                                               std::optional<course::SurfaceId> surface = {}) const;

  private:
    struct Said;
    class OnePair;
    std::span<const ruling::Sighting> keep(const ruling::Sighting& seen);
    [[nodiscard]] bool is_surely_after(std::span<const ruling::Sighting> from,
                                       std::span<const ruling::Sighting> to) const;

    const ruling::Spans& spans_;
    const Watching& watching_;
    std::deque<ruling::Sighting> kept_;
    std::vector<Spell> all_;
};

}  // namespace plumbmark::study
