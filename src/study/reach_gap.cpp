#include "study/reach_gap.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/worded.h"
#include "study/internal/plan_distance.h"
#include "study/strength.h"

namespace plumbmark::study {
namespace {

using base::Sentence;
using base::worded;
using course::SurfaceId;

/// A surface on the way, and whether feet or hands take it.
struct Stop {
    SurfaceId surface;
    bool stood_on = false;
};

std::vector<Stop> items_in_order(const course::Station& station) {
    std::vector<Stop> stops;
    for (const course::Item& item : station.in_play)
        stops.push_back({item.surface, item.parts.meets(course::kFeet)});
    for (const course::ItemRow& row : station.rows) {
        std::vector<std::size_t> places;
        for (std::size_t i = 0; i < stops.size(); ++i) {
            if (std::count(row.members.begin(), row.members.end(), stops[i].surface) > 0) places.push_back(i);
        }
        const std::vector<Stop> before = stops;
        std::size_t next = 0;
        for (const SurfaceId member : row.members) {
            const auto own = std::find_if(before.begin(), before.end(),
                                          [&](const Stop& one) { return one.surface == member; });
            if (own != before.end() && next < places.size()) stops[places[next++]] = *own;
        }
    }
    return stops;
}

std::vector<Stop> places(const std::vector<SurfaceId>& surfaces) {
    std::vector<Stop> stops;
    for (const SurfaceId id : surfaces)
        stops.push_back({id, true});
    return stops;
}

std::string metres(double value) {
    return fmt::format("{:.2f} m", value);
}
std::string percent(double share) {
    constexpr double kHundred = 100;
    return fmt::format("{:.0f} %", share * kHundred);
}

/// "girls and women of 12 years": the tables know two sexes.
Sentence people_words(const PeopleOfAge& people) {
    return people.sex == Sex::female ? worded("girls and women of {} years", people.years)
                                     : worded("boys and men of {} years", people.years);
}

/// What stands behind every figure.
Sentence source_words(const Provenance& from) {
    return worded("Source: {}; {}; spread: {}; not for: {}.", base::looked_up_word(from.source),
                  base::looked_up_word(from.people), base::looked_up_word(from.spread),
                  base::looked_up_word(from.not_for));
}
Sentence with_source(const Sentence& sentence, const Provenance& from) {
    return worded("{} {}", sentence, source_words(from));
}

double months(const PeopleOfAge& people) {
    constexpr double kMonths = 12, kHalfAYear = 6.5;
    return people.years * kMonths + kHalfAYear;
}

/// Half of the people, or not, by a median: told only where both ends of the measure tell the same.
Reached reached_within(const Percentile& median, const Interval& wanted) {
    const Reached near = reached(median, wanted.low), far = reached(median, wanted.high);
    return near == far ? near : Reached::cannot_be_told;
}

PeopleFigure none_of(const PeopleOfAge& people, PeopleFigure::Of of, const base::Error& error) {
    PeopleFigure figure;
    figure.people = people;
    figure.of = of;
    figure.sentence = worded("No table serves {}. {}", people_words(people), error.sentence);
    return figure;
}

PeopleFigure jump_figure(const PeopleOfAge& people, const Interval& gap) {
    const base::Result<Percentile> median = standing_broad_jump(people.sex, people.years);
    if (!median) return none_of(people, PeopleFigure::Of::standing_jump, median.error());
    PeopleFigure figure;
    figure.people = people;
    figure.of = PeopleFigure::Of::standing_jump;
    figure.reached = reached_within(*median, gap);
    figure.from = median->from;
    const Sentence who = people_words(people);
    const std::string far = metres(median->value);
    const Sentence said =
        *figure.reached == Reached::rest_or_more
            ? worded("Half or more of {} jump so far from standing, toes to heels (median {}).", who, far)
        : *figure.reached == Reached::fewer
            ? worded("Fewer than half of {} jump so far from standing, toes to heels (median {}).", who, far)
            : worded(
                  "Whether half of {} jump so far from standing, toes to heels, cannot be told (median {}).",
                  who, far);
    figure.sentence = with_source(said, *figure.from);
    return figure;
}

Interval share_between(const Measure& measure, const Interval& wanted) {
    return {measure.share_at_least(wanted.high), measure.share_at_least(wanted.low)};
}
/// Rounded to whole parts of a hundred; what is neither none nor all is told as neither.
std::string share_words(const Interval& share) {
    constexpr double kLeast = 0.01, kMost = 0.99;
    if (share.low > kMost) return "over " + percent(kMost);
    if (share.high < kLeast) return "under " + percent(kLeast);
    const std::string low = percent(share.low), high = percent(share.high);
    return low == high ? low : low + " to " + high;
}

PeopleFigure reach_figure(const PeopleOfAge& people, const Interval& height) {
    const base::Result<Measure> reach = measure(Body::overhead_reach, people.sex, months(people));
    if (!reach) return none_of(people, PeopleFigure::Of::overhead_reach, reach.error());
    PeopleFigure figure;
    figure.people = people;
    figure.of = PeopleFigure::Of::overhead_reach;
    figure.share = share_between(*reach, height);
    figure.from = reach->from;
    const double grip = mean_overhead_reach(HandPoint::fingertip, people.sex).value -
                        mean_overhead_reach(HandPoint::grip, people.sex).value;
    figure.sentence = with_source(
        worded("{} of {} touch it standing, with their fingertips; a grip is about {} lower on average.",
               share_words(*figure.share), people_words(people), metres(grip)),
        *figure.from);
    return figure;
}

/// Nobody reaches less high than they are tall, so the tables of children tell that much.
PeopleFigure stature_figure(const PeopleOfAge& people, const Interval& height) {
    const base::Result<Measure> stature = measure(Body::stature, people.sex, months(people));
    if (!stature) return none_of(people, PeopleFigure::Of::stature, stature.error());
    PeopleFigure figure;
    figure.people = people;
    figure.of = PeopleFigure::Of::stature;
    figure.share = share_between(*stature, height);
    figure.from = stature->from;
    figure.sentence =
        with_source(worded("{} of {} are as tall as it hangs, so at least so many reach it standing.",
                           share_words(*figure.share), people_words(people)),
                    *figure.from);
    return figure;
}

class Steps {
  public:
    Steps(const course::CourseBook& book, const std::vector<PeopleOfAge>& people)
        : book_(book), people_(people) {}

    void between(const std::vector<Stop>& from, const std::vector<Stop>& to) {
        for (const Stop& here : from) {
            for (const Stop& there : to) {
                if (here.surface != there.surface) steps_.push_back(step(here, there));
            }
        }
    }
    [[nodiscard]] std::vector<CourseStep> take() { return std::move(steps_); }

  private:
    [[nodiscard]] std::optional<double> tolerance(const course::SurfacePlan& plan) const {
        return plan.tolerance ? plan.tolerance : book_.plan.tolerance;
    }
    [[nodiscard]] CourseStep step(const Stop& here, const Stop& there) const {
        CourseStep step;
        step.from = book_.surface(here.surface).key;
        step.to = book_.surface(there.surface).key;
        step.kind = !here.stood_on ? StepKind::swing : there.stood_on ? StepKind::gap : StepKind::reach;
        const course::SurfacePlan* a = book_.plan.find(here.surface);
        const course::SurfacePlan* b = book_.plan.find(there.surface);
        if (a == nullptr || b == nullptr) return step;
        step.tolerance_known = tolerance(*a) && tolerance(*b);
        const double off = tolerance(*a).value_or(0) + tolerance(*b).value_or(0);
        const double gap = internal::level_distance(*a, *b);
        step.gap = Interval{std::max(0.0, gap - off), gap + off};
        const double there_at = there.stood_on ? internal::highest(*b) : internal::lowest(*b);
        const double here_at = here.stood_on ? internal::highest(*a) : internal::lowest(*a);
        step.height = Interval{there_at - here_at - off, there_at - here_at + off};
        put_people(step);
        return step;
    }
    void put_people(CourseStep& step) const {
        const bool level = std::abs(step.height->low + step.height->width() / 2) <= kSameHeight;
        for (const PeopleOfAge& people : people_) {
            if (step.kind == StepKind::gap && step.gap->high > 0 && level)
                step.figures.push_back(jump_figure(people, *step.gap));
            // What hangs no higher than one stands asks no reach.
            if (step.kind != StepKind::reach || step.height->low <= 0) continue;
            step.figures.push_back(reach_figure(people, *step.height));
            if (step.figures.back().no_table()) step.figures.push_back(stature_figure(people, *step.height));
        }
    }

    const course::CourseBook& book_;
    const std::vector<PeopleOfAge>& people_;
    std::vector<CourseStep> steps_;
};

}  // namespace

const char* step_kind_key(StepKind kind) {
    switch (kind) {
        case StepKind::gap:
            return "gap";
        case StepKind::reach:
            return "reach";
        case StepKind::swing:
            return "swing";
    }
    return "";
}

const char* figure_key(PeopleFigure::Of of) {
    switch (of) {
        case PeopleFigure::Of::standing_jump:
            return "standing_jump";
        case PeopleFigure::Of::overhead_reach:
            return "overhead_reach";
        case PeopleFigure::Of::stature:
            return "stature";
    }
    return "";
}

std::vector<CourseStep> course_steps(const course::CourseBook& book, course::StationId id,
                                     const std::vector<PeopleOfAge>& people) {
    const course::Station& station = book.station(id);
    Steps steps(book, people);
    std::vector<Stop> here = places(station.start);
    for (const Stop& item : items_in_order(station)) {
        const auto is_end = [&](const std::vector<SurfaceId>& list) {
            return std::find(list.begin(), list.end(), item.surface) != list.end();
        };
        if (is_end(station.start) || is_end(station.landing.surfaces)) continue;
        steps.between(here, {item});
        here = {item};
    }
    steps.between(here, places(station.landing.surfaces));
    return steps.take();
}

Sentence guide_notice() {
    return worded(
        "A guide for setting, and no promise: who trains is not the people who were measured. Gaps are from "
        "edge to edge, as the jumps of the table are from toes to heels; the centre of mass flies another "
        "distance, and a gap must not be held against that alone.");
}

}  // namespace plumbmark::study
