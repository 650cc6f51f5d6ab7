// Which gaps and reaches a station asks, by the measures of the course plan, and how many people of an age
// come that far, as far as anything published tells it.
//
// These are a guide for setting and no promise: whoever trains is not the people who were measured, and a
// share says nothing of one athlete. Where no table serves an age, that is said and nothing is made up.
//
// A gap is measured from edge to edge on the level. The published jump is from toes to heels, which is the
// same thing; the range of the centre of mass (flight.h) is another one, since feet leave behind it and land
// before it, and is not used here. Metres. Pure; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/sentence.h"
#include "course/book.h"
#include "study/interval.h"
#include "study/people.h"

namespace plumbmark::study {

/// Whole years: somebody of 10 is ten and a half on average.
struct PeopleOfAge {
    Sex sex = Sex::female;
    int years = 0;
};

enum class StepKind : std::uint8_t {
    gap,    ///< from something that is stood on to something that is stood on
    reach,  ///< from something that is stood on to a hold
    swing,  ///< from a hold to a hold, or off a hold: no table tells how far people come
};
/// "gap", "reach", "swing": the words used in JSON.
[[nodiscard]] const char* step_kind_key(StepKind kind);

/// What is published of people of one age for one step.
struct PeopleFigure {
    enum class Of : std::uint8_t {
        standing_jump,   ///< of a gap on one height
        overhead_reach,  ///< fingertips, standing
        stature,  ///< who is as tall as the hold hangs comes to it with the head: at least so many reach it
    };
    PeopleOfAge people;
    Of of = Of::standing_jump;
    /// The share of people who come so far, over what the measures leave open; of a stature, at least so
    /// many. None where only a median was published, or nothing.
    std::optional<Interval> share;
    std::optional<Reached> reached;    ///< where a median alone was published
    const Provenance* from = nullptr;  ///< null: no table serves this age
    base::Sentence sentence;           ///< with its source, its spread, and whom it does not serve
    [[nodiscard]] bool no_table() const { return from == nullptr; }
};
[[nodiscard]] const char* figure_key(PeopleFigure::Of of);

struct CourseStep {
    StepKind kind = StepKind::gap;
    std::string from, to;         ///< keys of surfaces
    std::optional<Interval> gap;  ///< level distance from edge to edge; none: the plan does not say it
    /// Of a gap: how much higher it is stood on there than here, negative: lower. Of a reach: how high the
    /// hold's lowest point is over what is stood on. None: as above.
    std::optional<Interval> height;
    /// Whether a tolerance was stated: else the ends of the intervals are one.
    bool tolerance_known = false;
    std::vector<PeopleFigure> figures;
};

/// Two heights that differ by no more are one, for a jump's table (decided here).
inline constexpr double kSameHeight = 0.05;

/// The steps of a station in the order in which the book names its items, a row in its own order: from each
/// start to the first item, from item to item, and from the last to each landing. What is out of reach of
/// that order (an item that is left out) is not looked at. An item is stood on where a foot may touch it.
[[nodiscard]] std::vector<CourseStep> course_steps(const course::CourseBook& book, course::StationId station,
                                                   const std::vector<PeopleOfAge>& people);

/// What stands above such figures.
[[nodiscard]] base::Sentence guide_notice();

}  // namespace plumbmark::study
