// The map of where to put a camera as a picture: its steps, how they are told apart, and the file.
#include "report/placing_picture.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "markup.h"

using namespace plumbmark;
using report::PlacingStep;

namespace {

constexpr double kNone = std::numeric_limits<double>::infinity();

/// Relative luminance of WCAG 2.2.
double luminance(std::uint32_t colour) {
    const auto part = [&](int shift) {
        const double value = ((colour >> shift) & 255) / 255.0;
        return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0);
}
double contrast(std::uint32_t a, std::uint32_t b) {
    const double one = luminance(a) + 0.05, other = luminance(b) + 0.05;
    return std::max(one, other) / std::min(one, other);
}

report::PlacingPicture picture() {
    report::PlacingPicture out;
    out.program_version = "9";
    out.title = "Where to put a camera for <front> & back";
    out.wanted = "How well.";
    out.course = "Pier \"Nine\", revision 2";
    out.x_from = -3;
    out.x_to = 3;
    out.y_from = 0;
    out.y_to = 4;
    out.columns = 3;
    out.rows = 2;
    out.widths = {0.05, 0.1, 0.2, 0.3, kNone, 0.01};
    out.bound = 0.05;
    out.surfaces = {{"deck", {{-1, 1}, {1, 1}, {1, 2}, {-1, 2}}, true},
                    {"rope", {{2, 2}, {2, 2}}, false},
                    {"bar", {{-2, 2}, {-2, 3}}, false}};
    out.plane = {course::PlanPoint{-1, 1}, course::PlanPoint{1, 1}};
    out.past = {0, 2};
    out.best = {{{2, 3}, "in the air within 10 mm"}, {{-2, 1}, "in the air within 50 mm"}};
    out.supposed = {"Supposed: <one>."};
    out.caution = "It proves nothing.";
    return out;
}

std::size_t count(const std::string& text, const std::string& words) {
    std::size_t n = 0;
    for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1))
        ++n;
    return n;
}

}  // namespace

TEST_CASE("a width belongs to the first step that holds it") {
    CHECK(report::placing_step(0.05, 0.05) == PlacingStep::within);
    CHECK(report::placing_step(0.0501, 0.05) == PlacingStep::twice);
    CHECK(report::placing_step(0.1, 0.05) == PlacingStep::twice);
    CHECK(report::placing_step(0.1001, 0.05) == PlacingStep::five_times);
    CHECK(report::placing_step(0.25, 0.05) == PlacingStep::five_times);
    CHECK(report::placing_step(0.2501, 0.05) == PlacingStep::wider);
    CHECK(report::placing_step(1e6, 0.05) == PlacingStep::wider);
    CHECK(report::placing_step(kNone, 0.05) == PlacingStep::nothing);
}

TEST_CASE("steps are said with their numbers") {
    CHECK(report::placing_step_words(PlacingStep::within, 0.05).english() == "within 50 mm");
    CHECK(report::placing_step_words(PlacingStep::twice, 0.05).english() == "within 100 mm");
    CHECK(report::placing_step_words(PlacingStep::five_times, 0.2).english() == "within 1 m");
    CHECK(report::placing_step_words(PlacingStep::wider, 0.2).english() == "wider");
}

TEST_CASE("steps are told apart by dots that grow and by grounds that darken as a place is better") {
    for (std::size_t i = 0; i + 1 < report::kPlacingSteps.size(); ++i) {
        const auto& better = report::placing_look(report::kPlacingSteps[i]);
        const auto& worse = report::placing_look(report::kPlacingSteps[i + 1]);
        INFO(i);
        CHECK(better.dot > worse.dot + 0.05);
        if (worse.dot > 0) CHECK(luminance(better.ground) < luminance(worse.ground));
    }
    CHECK(report::placing_look(PlacingStep::nothing).dot == 0);
    // Graphical objects want 3 : 1 (WCAG 2.2, success criterion 1.4.11); what is good has to be seen best.
    for (const PlacingStep step : {PlacingStep::within, PlacingStep::twice, PlacingStep::five_times})
        CHECK(contrast(report::placing_look(step).mark, report::placing_look(step).ground) >= 3);
    for (const PlacingStep step : report::kPlacingSteps) {
        CHECK(contrast(report::kPlacingInk, report::placing_look(step).ground) >= 4.5);
        CHECK(contrast(report::kPlacingPlane, report::kPlacingPaper) >= 3);
    }
}

TEST_CASE("numbers along a map are round ones and never closer than asked") {
    for (const double least : {0.03, 0.1, 0.11, 0.9, 1.0, 1.3, 2.01, 4.9, 5.1, 77.0}) {
        const double ticks = report::placing_ticks(least);
        CHECK(ticks >= least * (1 - 1e-6));
        CHECK(ticks <= least * 2.6);
        const double lead = ticks / std::pow(10, std::floor(std::log10(ticks * (1 + 1e-9))));
        CHECK((lead == Approx(1) || lead == Approx(2) || lead == Approx(5)));
    }
}

TEST_CASE("the plane's ticks point to its far side") {
    report::PlacingPicture map = picture();
    for (const double side : {2.0, -2.0}) {
        map.past = {0.3, 1 + side};
        const auto ticks = report::placing_plane_ticks(map, 0.25);
        REQUIRE(ticks.size() >= 3);
        for (const auto& [foot, tip] : ticks) {
            CHECK(foot[1] == Approx(1));
            CHECK(tip[0] == Approx(foot[0]));
            CHECK(tip[1] - foot[1] == Approx(side > 0 ? 0.25 : -0.25));
        }
    }
    map.plane[1] = map.plane[0];
    CHECK(report::placing_plane_ticks(map, 1).empty());
}

TEST_CASE("a rope that hangs is a ring from above and a bar that lies is none") {
    const report::PlacingPicture map = picture();
    CHECK_FALSE(report::is_upright(map.surfaces[0]));
    CHECK(report::is_upright(map.surfaces[1]));
    CHECK_FALSE(report::is_upright(map.surfaces[2]));
}

TEST_CASE("the picture file is well-formed and says all of it in words") {
    const std::string svg = report::placing_svg(picture());
    const test::Markup markup = test::read_markup("<!DOCTYPE html>\n" + svg);
    CHECK(markup.fault.empty());
    CHECK(markup.elements.count("script") == 0);
    CHECK(markup.elements.count("image") == 0);
    for (const char* words :
         {"Where to put a camera for <front> & back", "Pier \"Nine\", revision 2", "within 50 mm",
          "within 100 mm", "within 250 mm", "wider", "nothing can be measured",
          "1: x 2.00, y 3.00: in the air within 10 mm", "2: x -2.00, y 1.00: in the air within 50 mm",
          "Supposed: <one>.", "It proves nothing."}) {
        INFO(words);
        CHECK(markup.text.find(words) != std::string::npos);
    }
    CHECK(svg.find("<one>") == std::string::npos);
    // Each cell has its dot, and each step two more in the legend; what has none has a stroke.
    CHECK(count(svg, "h0M") + count(svg, "h0\"") == 5 + 4 * 2);
    report::PlacingPicture second = picture();
    second.first = course::PlanPoint{0, 3.5};
    CHECK(count(report::placing_svg(second), "Triangle: where the first camera is.") == 1);
    CHECK(count(svg, "Triangle") == 0);
}

TEST_CASE("the same map gives the same picture file") {
    CHECK(report::placing_svg(picture()) == report::placing_svg(picture()));
}
