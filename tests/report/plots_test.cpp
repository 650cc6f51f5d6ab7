// The plots of an athlete's page: what is drawn where, how it is told apart without colours, and the same
// bytes every time.
#include "report/plots.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <string>

#include "documents.h"
#include "markup.h"

using namespace plumbmark;
using Catch::Contains;

namespace {

constexpr std::int64_t kMs = 1'000'000;

study::Length length(std::int64_t low, std::int64_t high) {
    return {base::Duration{low * kMs}, base::Duration{high * kMs}, {}};
}
study::Difference between(std::int64_t low, std::int64_t high) {
    return {base::Duration{low * kMs}, base::Duration{high * kMs}, {}};
}

std::size_t count(const std::string& text, const std::string& words) {
    std::size_t n = 0;
    for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1))
        ++n;
    return n;
}

test::Markup read(const report::Plot& plot) {
    return test::read_markup("<!DOCTYPE html>\n" + report::plot_svg(plot));
}

report::SplitPlot split() {
    report::SplitPlot plot;
    plot.a = "run 4";
    plot.b = "run 1";
    plot.anchor = "the start";
    plot.points = {{"hop", between(0, 0)}, {"hop", between(80, 120)}, {"swing", between(-20, 40)}};
    return plot;
}

report::TimesPlot times() {
    report::TimesPlot plot;
    plot.mine = "run 4";
    plot.others = {"the best of division u14"};
    plot.rows = {{"hop", length(2'000, 2'050), {length(1'900, 1'950)}},
                 {"swing", {}, {length(3'000, 3'100)}}};
    return plot;
}

report::SeasonPlot season() {
    report::SeasonPlot plot;
    plot.confidence = 0.95;
    plot.meets = {"2026-04-11", "2026-05-02"};
    const auto of = [](std::int64_t happened, std::int64_t trials) {
        return *study::rate({happened, trials}, 0.95);
    };
    plot.rows = {{"hop", {{0, of(1, 2), length(2'500, 2'560), length(2'700, 2'760)}, {1, of(3, 3), {}, {}}}},
                 {"swing", {{1, of(0, 0), {}, {}}}}};
    return plot;
}

std::vector<report::Plot> all_plots() {
    report::RhythmPlot rhythm;
    rhythm.hands = {{"swing", length(400, 430)}, {"swing", {base::Duration{500 * kMs}, std::nullopt, {}}}};
    return {split(), rhythm, times(), season()};
}

}  // namespace

TEST_CASE("a plot is well formed and says in words what it shows") {
    for (const report::Plot& plot : all_plots()) {
        const test::Markup markup = read(plot);
        CHECK(markup.fault.empty());
        CHECK(markup.elements.contains("svg"));
        CHECK(report::has_anything(plot));
        CHECK_FALSE(report::plot_says(plot).empty());
        CHECK(report::plot_svg(plot) == report::plot_svg(plot));
    }
    CHECK_THAT(read(times()).text,
               Contains("2.00 to 2.05 s") && Contains("1.90 to 1.95 s") && Contains("not known"));
}

TEST_CASE("a plot with nothing in it says why as one sentence") {
    CHECK_THAT(report::plot_svg(report::SplitPlot{}), Contains("no event in common"));
    CHECK_THAT(report::plot_svg(report::RhythmPlot{}), Contains("In no station do two touches"));
    CHECK_THAT(report::plot_svg(report::TimesPlot{}), Contains("No station of this run has a time."));
    report::TimesPlot no_times;
    no_times.rows = {{"hop", {}, {}}};
    CHECK_FALSE(report::has_anything(no_times));
}

TEST_CASE("a difference that is shown is a filled disc and one that is not is a ring") {
    // The legend has one of each.
    report::SplitPlot plot = split();
    const std::string disc = R"(r="3.2" fill="#0072B2")", ring = R"(r="3.2" fill="#ffffff")";
    CHECK(count(report::plot_svg(plot), disc) == 1 + 1);
    CHECK(count(report::plot_svg(plot), ring) == 1 + 2);
    plot.points[2].behind = between(1, 40);
    CHECK(count(report::plot_svg(plot), disc) == 1 + 2);
}

TEST_CASE("what has no bound on a side is drawn with an arrow and what is in doubt is dashed") {
    report::RhythmPlot plot;
    plot.hands = {{"swing", length(400, 430)}};
    const auto corners = [](const report::Plot& one) {
        // Three points: an arrow's head. A bar's end has two.
        std::size_t heads = 0;
        for (const auto& [name, value] : read(one).attributes)
            heads += name == "points" && std::count(value.begin(), value.end(), ',') == 3 ? 1 : 0;
        return heads;
    };
    CHECK(corners(plot) == 0);
    CHECK(count(report::plot_svg(plot), "stroke-dasharray=\"3.0 2.0\"") == 0);
    plot.hands[0].time.high = std::nullopt;
    CHECK(corners(plot) == 1);
    plot.hands[0].time.doubt.unwatched = true;
    CHECK(count(report::plot_svg(plot), "stroke-dasharray=\"3.0 2.0\"") == 1);
}

TEST_CASE("names in plots are inert text") {
    report::SplitPlot plot = split();
    plot.a = plot.b = test::kHostile;
    plot.points[0].station = test::kHostile;
    report::TimesPlot rows = times();
    rows.mine = rows.others[0] = rows.rows[0].station = test::kHostile;
    for (const report::Plot& one : {report::Plot(plot), report::Plot(rows)}) {
        const test::Markup markup = read(one);
        CHECK(markup.fault.empty());
        CHECK_FALSE(markup.elements.contains("script"));
        CHECK_FALSE(markup.elements.contains("img"));
    }
}

namespace {

/// One beat of 0.40 to 0.45 s. The panel is 92 units high from 24 on and goes to 0.6 s: 0.40 s lies at
/// 24 + 92 * 0.2 / 0.6 = 54.7, 0.45 s at 47.0.
constexpr const char* kOneBeat =
    R"svg(<svg xmlns="http://www.w3.org/2000/svg" class="plot" viewBox="0 0 680 194" role="img" aria-label="How long each beat was, of 1 of the hands and 0 of the feet" font-family="Inter, Noto Sans, DejaVu Sans, sans-serif"><polygon points="0.0,0.0 680.0,0.0 680.0,194.0 0.0,194.0" fill="#ffffff" stroke="#ffffff" stroke-width="0.00"/>
<circle cx="50.0" cy="10.6" r="3.0" fill="#0072B2" stroke="#0072B2" stroke-width="1.40"/>
<text x="58.0" y="14.0" font-size="10.5" text-anchor="start" fill="#1d1f21">hands: seconds from one touch to the next</text>
<polyline points="46.0,116.0 670.0,116.0" fill="none" stroke="#1d1f21" stroke-width="1.10"/>
<text x="40.0" y="119.5" font-size="9.5" text-anchor="end" fill="#45484b">0</text>
<polyline points="46.0,85.3 670.0,85.3" fill="none" stroke="#cfcbc2" stroke-width="0.60"/>
<text x="40.0" y="88.8" font-size="9.5" text-anchor="end" fill="#45484b">0.2</text>
<polyline points="46.0,54.7 670.0,54.7" fill="none" stroke="#cfcbc2" stroke-width="0.60"/>
<text x="40.0" y="58.2" font-size="9.5" text-anchor="end" fill="#45484b">0.4</text>
<polyline points="46.0,24.0 670.0,24.0" fill="none" stroke="#cfcbc2" stroke-width="0.60"/>
<text x="40.0" y="27.5" font-size="9.5" text-anchor="end" fill="#45484b">0.6</text>
<circle cx="358.0" cy="50.8" r="2.4" fill="#0072B2" stroke="#0072B2" stroke-width="1.40"/>
<polyline points="358.0,54.7 358.0,47.0" fill="none" stroke="#1d1f21" stroke-width="1.30"/>
<polyline points="353.6,54.7 362.4,54.7" fill="none" stroke="#1d1f21" stroke-width="1.30"/>
<polyline points="353.6,47.0 362.4,47.0" fill="none" stroke="#1d1f21" stroke-width="1.30"/>
<text x="358.0" y="128.0" font-size="9.5" text-anchor="middle" fill="#45484b">1</text>
<text x="358.0" y="142.0" font-size="9.5" text-anchor="middle" fill="#1d1f21">swing</text>
<polygon points="47.0,157.6 53.0,157.6 53.0,163.6 47.0,163.6" fill="#B34700" stroke="#B34700" stroke-width="1.20"/>
<text x="58.0" y="164.0" font-size="10.5" text-anchor="start" fill="#1d1f21">feet: no two touches follow each other in a station</text>
<text x="46.0" y="186.0" font-size="9.5" text-anchor="start" fill="#1d1f21">bars: from the least to the most; dashed: in doubt; arrow: no bound there</text>
</svg>
)svg";

}  // namespace

TEST_CASE("a small plot is the same to the byte") {
    report::RhythmPlot plot;
    plot.hands = {{"swing", length(400, 450)}};
    CHECK(report::plot_svg(plot) == std::string(kOneBeat));
}

TEST_CASE("a plot as a picture is as large as asked and white at its corners") {
    const auto once = report::plot_picture(split(), 1), twice = report::plot_picture(split(), 2);
    REQUIRE(once.ok());
    REQUIRE(twice.ok());
    CHECK(once->width == 680);
    CHECK(twice->width == 1360);
    CHECK(twice->height == 2 * once->height);
    CHECK(once->pixels == report::plot_picture(split(), 1)->pixels);
    std::size_t inked = 0;
    for (std::size_t at = 0; at < once->pixels.size(); at += 4)
        inked += once->pixels[at] < 128 ? 1 : 0;
    CHECK(once->pixels[0] == 255);
    CHECK(inked > 500);
    CHECK_FALSE(report::plot_picture(split(), 0).ok());
    CHECK_FALSE(report::plot_picture(split(), 100).ok());
}

TEST_CASE("a season shows a share and a time only where a meet has them") {
    const std::string svg = report::plot_svg(season());
    CHECK_THAT(svg, Contains("hop: share cleared"));
    CHECK_THAT(svg, Contains("swing: share cleared"));
    CHECK_THAT(svg, Contains("2026-04-11"));
    CHECK_THAT(svg, Contains("bars: 95 % (Wilson)"));
    CHECK(report::plot_says(season()) ==
          "The share cleared and the times of 2 kinds of station over 2 meets");
    // Two shares, one median and its best; one of each stands in the legend.
    report::SeasonPlot none = season();
    none.rows[0].at.clear();
    none.rows[1].at.clear();
    CHECK(report::plot_says(none) == "No station of these runs was reached.");
    report::SeasonPlot bare = season();
    bare.rows[0].at = {{0, {}, {}, {}}};
    CHECK(count(svg, "<circle") == count(report::plot_svg(bare), "<circle") + 3);
}
