// Propagation of uncertainty against the worked examples of the guides.
#include "sight/uncertain.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using namespace plumbmark::sight;

namespace {

Model single(double (*f)(const std::vector<double>&)) {
    return [f](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        return std::vector<double>{f(x)};
    };
}
double sum(const std::vector<double>& x) {
    double all = 0;
    for (const double one : x)
        all += one;
    return all;
}
constexpr int kDraws = 200'000;

}  // namespace

TEST_CASE("the gauge block of the guide has its published uncertainty and shares") {
    // JCGM 100:2008, H.1: l = ls + d - ls (da theta + as dt), with theta = mean + swing, in nm and degrees.
    const Model model = single([](const std::vector<double>& x) {
        const double ls = x[0], da = x[4], mean = x[5], swing = x[6], as = x[7], dt = x[8];
        return ls + x[1] + x[2] + x[3] - ls * (da * (mean + swing) + as * dt);
    });
    const Quantities quantities{{{50'000'623, 25},
                                 {215, 5.8},
                                 {0, 3.9},
                                 {0, 6.7},
                                 within(0, 1e-6),
                                 {-0.1, 0.2},
                                 within(0, 0.5, Shape::arcsine),
                                 within(11.5e-6, 2e-6),
                                 within(0, 0.05)},
                                {}};
    const auto law = first_order(model, quantities);
    REQUIRE(law);
    CHECK(law->values[0] == Approx(50'000'838));
    CHECK(law->standard(0) == Approx(31.664).margin(0.001));
    // 16.599 nm from the temperatures' difference, 2.887 nm from the expansions' (at the mean of -0.1).
    CHECK(std::abs(law->sensitivity[8]) * quantities.each[8].standard == Approx(16.599).margin(0.001));
    CHECK(std::abs(law->sensitivity[4]) * quantities.each[4].standard == Approx(2.887).margin(0.001));
    // H.1.7: with the terms of second order, 11.64 and 1.67 nm, it is 33.8: the draws have them.
    const Drawn drawn = draw(model, quantities, kDraws, 1);
    CHECK(drawn.standard(0) == Approx(33.8).margin(0.2));
    CHECK_FALSE(agree(*law, drawn, 0, 0.95));
}

TEST_CASE("resistance and reactance of the guide come out with their correlations") {
    // JCGM 100:2008, H.2, as in MSLNZ/GTC docs/API/GUM_H2.rst.
    const double u[]{0.0032, 9.5e-6, 0.00075};
    const double r01 = -0.36, r02 = 0.86, r12 = -0.65;
    Quantities quantities{{{4.999, u[0]}, {0.019661, u[1]}, {1.04446, u[2]}}, {}};
    quantities.covariance = {0, r01 * u[0] * u[1], r02 * u[0] * u[2], r01 * u[0] * u[1],
                             0, r12 * u[1] * u[2], r02 * u[0] * u[2], r12 * u[1] * u[2],
                             0};
    const Model model = [](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        const double z = x[0] / x[1];
        return std::vector<double>{z * std::cos(x[2]), z * std::sin(x[2]), z};
    };
    const auto law = first_order(model, quantities);
    REQUIRE(law);
    CHECK(law->values[0] == Approx(127.732).margin(0.0005));
    CHECK(law->values[1] == Approx(219.85).margin(0.005));
    CHECK(law->values[2] == Approx(254.26).margin(0.005));
    CHECK(law->standard(0) == Approx(0.07).margin(0.005));
    CHECK(law->standard(1) == Approx(0.3).margin(0.05));
    CHECK(law->standard(2) == Approx(0.24).margin(0.005));
    const auto correlation = [&](std::size_t i, std::size_t j) {
        return law->covariance[3 * i + j] / (law->standard(i) * law->standard(j));
    };
    CHECK(correlation(0, 1) == Approx(-0.59).margin(0.005));
    CHECK(correlation(0, 2) == Approx(-0.49).margin(0.005));
    CHECK(correlation(1, 2) == Approx(0.99).margin(0.005));
    const Drawn drawn = draw(model, quantities, kDraws, 2);
    CHECK(drawn.standard(0) == Approx(law->standard(0)).epsilon(0.01));
    CHECK(agree(*law, drawn, 0, 0.95));
}

TEST_CASE("sums of four are spread as the supplement's tables have it") {
    const auto spread = [](const std::vector<Quantity>& each) {
        const Quantities quantities{each, {}};
        const Drawn drawn = draw(single(sum), quantities, kDraws, 3);
        return std::array<double, 2>{drawn.standard(0), drawn.interval(0, 0.95).high};
    };
    // JCGM 101:2008, 9.2.2, table 2: four normal ones.
    const auto normal = spread({{0, 1}, {0, 1}, {0, 1}, {0, 1}});
    CHECK(normal[0] == Approx(2.00).margin(0.015));
    CHECK(normal[1] == Approx(3.92).margin(0.04));
    // 9.2.3, table 3: four rectangular ones of variance 1.
    const Quantity flat{0, 1, Shape::rectangular};
    const auto rectangular = spread({flat, flat, flat, flat});
    CHECK(rectangular[0] == Approx(2.0).margin(0.015));
    CHECK(rectangular[1] == Approx(3.88).margin(0.03));
    // 9.2.4: one of them ten times as wide; the law of propagation says 19.9.
    const Quantities wide{{flat, flat, flat, {0, 10, Shape::rectangular}}, {}};
    const auto law = first_order(single(sum), wide);
    REQUIRE(law);
    CHECK(law->standard(0) == Approx(10.149).margin(0.001));
    CHECK(coverage_factor(0.95) * law->standard(0) == Approx(19.89).margin(0.01));
    const Drawn drawn = draw(single(sum), wide, kDraws, 4);
    CHECK(drawn.interval(0, 0.95).high == Approx(17.0).margin(0.1));
    CHECK_FALSE(agree(*law, drawn, 0, 0.95));
}

TEST_CASE("a logarithm of something rectangular has the published mean and shortest interval") {
    // NPL report DEM-ES-011, 9.2: y = ln x, x within 0.1 and 1.1.
    const Model model = single([](const std::vector<double>& x) { return std::log(x[0]); });
    const Quantities quantities{{within(0.6, 0.5)}, {}};
    const auto law = first_order(model, quantities);
    REQUIRE(law);
    CHECK(law->values[0] == Approx(-0.511).margin(0.0005));
    CHECK(law->standard(0) == Approx(0.481).margin(0.0005));
    const Drawn drawn = draw(model, quantities, kDraws, 5);
    CHECK(drawn.mean(0) == Approx(-0.665).margin(0.004));
    CHECK(drawn.standard(0) == Approx(0.606).margin(0.004));
    CHECK(drawn.shortest(0, 0.95).low == Approx(-1.895).margin(0.02));
    CHECK(drawn.shortest(0, 0.95).high == Approx(0.095).margin(0.005));
}

TEST_CASE("half widths become standard deviations by the shape that is said") {
    // JCGM 100:2008, 4.3.7, 4.3.9 and H.1.3.4.
    CHECK(within(0, 1).standard == Approx(1 / std::sqrt(3.0)));
    CHECK(within(0, 1, Shape::triangular).standard == Approx(1 / std::sqrt(6.0)));
    CHECK(within(0, 0.5, Shape::arcsine).standard == Approx(0.354).margin(0.0005));
    CHECK(coverage_factor(0.95) == Approx(1.959964).margin(1e-6));
    CHECK(coverage_factor(0.999) == Approx(3.290527).margin(1e-6));
}

TEST_CASE("draws are the same for the same seed and the undefined ones are counted apart") {
    const Model model = [](const std::vector<double>& x) -> std::optional<std::vector<double>> {
        if (x[0] < 0) return std::nullopt;
        return std::vector<double>{x[0]};
    };
    const Quantities quantities{{{0, 1}}, {}};
    const Drawn one = draw(model, quantities, 10'000, 7), same = draw(model, quantities, 10'000, 7);
    CHECK(one.draws() + one.undefined() == 10'000);
    CHECK(one.undefined() == Approx(5'000).margin(200));
    CHECK(one.mean(0) == same.mean(0));
    CHECK(one.mean(0) != draw(model, quantities, 10'000, 8).mean(0));
}
