#include "report/placing_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/worded.h"

namespace plumbmark::report {
namespace {

/// "50 mm", "0.5 m".
std::string bound_words(double metres) {
    return metres < 0.9995 ? fmt::format("{:.3g} mm", metres * 1000) : fmt::format("{:.3g} m", metres);
}

}  // namespace

PlacingStep placing_step(double width, double bound) {
    if (!std::isfinite(width)) return PlacingStep::nothing;
    // A width that was rounded for reading keeps the bound that reads the same.
    const double little = 1 + 1e-9;
    if (width <= bound * little) return PlacingStep::within;
    if (width <= 2 * bound * little) return PlacingStep::twice;
    return width <= 5 * bound * little ? PlacingStep::five_times : PlacingStep::wider;
}

base::Sentence placing_step_words(PlacingStep step, double bound) {
    switch (step) {
        case PlacingStep::within:
            return base::worded("within {}", bound_words(bound));
        case PlacingStep::twice:
            return base::worded("within {}", bound_words(2 * bound));
        case PlacingStep::five_times:
            return base::worded("within {}", bound_words(5 * bound));
        case PlacingStep::wider:
            return base::worded("wider");
        case PlacingStep::nothing:
            break;
    }
    return base::worded("nothing can be measured");
}

const PlacingLook& placing_look(PlacingStep step) {
    // One hue, so that only light and dark tell the grounds apart, as they do to every eye and in print.
    static constexpr std::array<PlacingLook, kPlacingSteps.size()> looks{{{0x7CC7B0, 0x003D2E, 0.36},
                                                                          {0xB3DFD0, 0x17604B, 0.26},
                                                                          {0xDDF0E9, 0x3C7F6B, 0.17},
                                                                          {0xF4F6F3, 0x8A938E, 0.09},
                                                                          {0xE7E3DC, 0xA59E92, 0}}};
    return looks[static_cast<std::size_t>(step)];
}

double placing_ticks(double least) {
    const double power = std::pow(10, std::floor(std::log10(least)));
    for (const double times : {1.0, 2.0, 5.0})
        if (times * power >= least * (1 - 1e-9)) return times * power;
    return 10 * power;
}

bool is_upright(const PlacingSurface& surface) {
    constexpr double kMost = 0.05;
    return std::all_of(surface.points.begin(), surface.points.end(), [&](const course::PlanPoint& at) {
        return std::hypot(at[0] - surface.points[0][0], at[1] - surface.points[0][1]) < kMost;
    });
}

std::vector<std::array<course::PlanPoint, 2>> placing_plane_ticks(const PlacingPicture& picture,
                                                                  double metres) {
    constexpr int kTicks = 5;
    const course::PlanPoint &a = picture.plane[0], &b = picture.plane[1], &past = picture.past;
    const double length = std::hypot(b[0] - a[0], b[1] - a[1]);
    if (!(length > 0)) return {};
    course::PlanPoint over{-(b[1] - a[1]) / length, (b[0] - a[0]) / length};
    if (over[0] * (past[0] - a[0]) + over[1] * (past[1] - a[1]) < 0) over = {-over[0], -over[1]};
    std::vector<std::array<course::PlanPoint, 2>> out;
    for (int i = 0; i < kTicks; ++i) {
        const double along = (i + 0.5) / kTicks;
        const course::PlanPoint foot{a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1])};
        out.push_back({foot, {foot[0] + metres * over[0], foot[1] + metres * over[1]}});
    }
    return out;
}

}  // namespace plumbmark::report
