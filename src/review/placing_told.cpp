#include "review/placing_told.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/worded.h"
#include "review/documents.h"

namespace plumbmark::review {
namespace {

using base::Sentence;
using base::worded;
using sight::Hindrance;
using sight::PlaceWorth;
using sight::Wanted;

Sentence hindrance_words(Hindrance hindrance) {
    switch (hindrance) {
        case Hindrance::none:
            break;
        case Hindrance::over_the_plane:
            return worded("over the plane");
        case Hindrance::too_few:
            return worded("fewer than four known places in the picture");
        case Hindrance::on_one_line:
            return worded("all known places in the picture on one line");
        case Hindrance::untold_focal:
            return worded("the known places do not tell the focal length");
        case Hindrance::too_close_together:
            return worded("the known places too close together in the picture");
        case Hindrance::two_ways:
            return worded("two ways to stand that show nearly the same");
        case Hindrance::plane_outside:
            return worded("an end of the plane outside the picture");
        case Hindrance::not_from_above:
            return worded("what is stood on not seen from above");
        case Hindrance::grazing:
            return worded("the line of sight only grazes where the part can be");
        case Hindrance::along_each_other:
            return worded("both cameras look from the same side");
    }
    return {};
}

std::string metres(double value) {
    return fmt::format("{:.2f} m", value);
}

Sentence lens_words(const PlacingWish& wish) {
    const std::string across = fmt::format("{:.0f}", degrees_across(wish));
    const std::string form = fmt::format("{} x {}", wish.lens.width, wish.lens.height);
    if (!wish.lens_name.empty())
        return worded("Its lens is that of {}, as it was measured: {}° wide, {} pixels.", wish.lens_name,
                      across, form);
    return worded("Its picture is {}° wide, {} pixels; the lens is not measured.", across, form);
}

report::PlacingSurface surface_of(const course::CourseBook& book, const course::SurfacePlan& plan) {
    report::PlacingSurface out;
    out.name = book.surface(plan.surface).name;
    out.closed = !plan.outline.empty();
    out.points = plan.outline;
    for (const course::SpacePoint& at : plan.line)
        out.points.push_back({at[0], at[1]});
    return out;
}

}  // namespace

BestPlaces best_places(const sight::PlacingMap& map, const PlacingAsked& asked) {
    BestPlaces out{sight::best(map, asked.wanted, asked.bound, kMostBest, kBestApart), true};
    if (!out.cells.empty()) return out;
    return {sight::best(map, asked.wanted, std::numeric_limits<double>::max(), kMostBest, kBestApart), false};
}

Sentence worth_words(const Placing& placing, const PlaceWorth& worth) {
    const bool air = std::isfinite(worth.in_air), level = std::isfinite(worth.on_level);
    if (air && level)
        return worded("in the air within {}, on {} within {}", length_words(worth.in_air), placing.surface,
                      length_words(worth.on_level));
    if (air)
        return worded("in the air within {}; on {} nothing: {}", length_words(worth.in_air), placing.surface,
                      sight::said(worth.level, worth));
    if (level)
        return worded("on {} within {}; in the air nothing: {}", placing.surface,
                      length_words(worth.on_level), sight::said(worth.air, worth));
    return sight::said(worth.calibrated ? worth.level : worth.calibration, worth);
}

Hindrance hindrance_of(const PlaceWorth& worth, Wanted wanted) {
    if (!worth.calibrated) return worth.calibration;
    if (wanted == Wanted::in_air) return worth.air;
    if (wanted == Wanted::on_level || worth.level != Hindrance::none) return worth.level;
    return worth.air;
}

std::vector<PlacingReason> reasons(const sight::PlacingMap& map, Wanted wanted) {
    std::vector<PlacingReason> out;
    std::vector<PlaceWorth> nearest;
    for (const PlaceWorth& worth : map.each) {
        const Hindrance hindrance = hindrance_of(worth, wanted);
        if (hindrance == Hindrance::none) continue;
        auto at = std::find_if(out.begin(), out.end(),
                               [&](const PlacingReason& one) { return one.hindrance == hindrance; });
        if (at == out.end()) {
            at = out.insert(out.end(), {hindrance, 0, hindrance_words(hindrance), {}});
            nearest.push_back(worth);
        }
        ++at->cells;
        PlaceWorth& most = nearest[static_cast<std::size_t>(at - out.begin())];
        if (worth.seen > most.seen) most = worth;
    }
    for (std::size_t i = 0; i < out.size(); ++i)
        out[i].remedy = sight::said(out[i].hindrance, nearest[i]);
    std::stable_sort(out.begin(), out.end(),
                     [](const PlacingReason& a, const PlacingReason& b) { return a.cells > b.cells; });
    return out;
}

Sentence wanted_words(const Placing& placing, const PlacingAsked& asked) {
    switch (asked.wanted) {
        case Wanted::on_level:
            return worded(
                "How well each place tells how far a contact on {} is past {}: half of an interval "
                "that holds it with 95 %.",
                placing.surface, placing.plane);
        case Wanted::in_air:
            return worded(
                "How well each place tells how far a part in the air is past {}: half of an interval "
                "that holds it with 95 %.",
                placing.plane);
        case Wanted::both:
            break;
    }
    return worded(
        "How well each place tells how far a part in the air, or a contact on {}, is past {}: half "
        "of an interval that holds it with 95 %, the wider of the two.",
        placing.surface, placing.plane);
}

std::vector<Sentence> supposed_words(const Placing& placing) {
    const PlacingWish& wish = placing.wish;
    std::vector<Sentence> out;
    out.push_back(
        worded("Supposed: a camera {} over the plan's height 0, upright, aimed at the middle of the "
               "plane. {}",
               metres(wish.camera_height), lens_words(wish)));
    out.push_back(
        worded("Each place of the plan in the picture is pointed at with a standard deviation of {} "
               "px, and so is what is measured. A part in the air is {} over {}, which is {} high.",
               fmt::format("{:.2g}", wish.pointing), metres(wish.air), placing.surface,
               metres(placing.plan.level.height)));
    if (placing.away > 0)
        out.push_back(worded("No surface of the plan touches the plane; {} is the nearest one, {} away.",
                             placing.surface, metres(placing.away)));
    out.push_back(
        worded("What is said of a place holds in the middle of its square, {} wide: beside the plane's "
               "own line a part in the air is soon told much worse.",
               metres((placing.plan.floor.x_to - placing.plan.floor.x_from) / placing.plan.floor.columns)));
    if (placing.supposed_tape)
        out.push_back(worded("The plan does not say how well it was taped; {} is supposed.",
                             length_words(kSupposedTape)));
    out.push_back(
        worded("Nothing is taken to hide anything: go there, and see whether the course, people or "
               "walls stand before it."));
    return out;
}

Sentence placing_caution() {
    return worded(
        "This says what a camera could tell. It does not prove that anything is built safely: that is "
        "for qualified inspection under local codes.");
}

report::PlacingPicture placing_picture(const course::CourseBook& book, const Placing& placing,
                                       const sight::PlacingMap& map, const PlacingAsked& asked) {
    report::PlacingPicture out;
    out.program_version = program_version();
    out.title = asked.first ? worded("Where to put a second camera for {}", placing.plane)
                            : worded("Where to put a camera for {}", placing.plane);
    out.wanted = wanted_words(placing, asked);
    out.course = fmt::format("{}, revision {}", book.name, book.revision);
    out.x_from = map.floor.x_from;
    out.x_to = map.floor.x_to;
    out.y_from = map.floor.y_from;
    out.y_to = map.floor.y_to;
    out.columns = map.floor.columns;
    out.rows = map.floor.rows;
    for (const PlaceWorth& worth : map.each)
        out.widths.push_back(sight::width(worth, asked.wanted));
    out.bound = asked.bound;
    for (const course::SurfacePlan& surface : book.plan.surfaces)
        out.surfaces.push_back(surface_of(book, surface));
    if (const course::PlanePlan* plane = book.plan.find(book.find_plane(placing.wish.plane))) {
        out.plane = {plane->from, plane->to};
        out.past = plane->past;
    }
    for (const std::size_t cell : best_places(map, asked).cells) {
        const sight::FloorPlace at = map.floor.middle(cell);
        out.best.push_back({{at.x, at.y}, worth_words(placing, map.each[cell])});
    }
    if (asked.first) out.first = course::PlanPoint{asked.first->x, asked.first->y};
    out.supposed = supposed_words(placing);
    out.caution = placing_caution();
    return out;
}

}  // namespace plumbmark::review
