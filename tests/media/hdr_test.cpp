// HLG and PQ against the published formulas, in double precision.
#include "media/hdr.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/made_picture.h"

using namespace plumbmark::media;
using namespace plumbmark::test;

namespace {

// ITU-R BT.2100-2, table 4, with its constants as fractions, from memory.
double pq_eotf(double code) {
    const double m1 = 1305.0 / 8192, m2 = 2523.0 / 32, c1 = 107.0 / 128, c2 = 2413.0 / 128, c3 = 2392.0 / 128;
    const double p = std::pow(code, 1 / m2);
    return 10000 * std::pow(std::max(p - c1, 0.0) / (c2 - c3 * p), 1 / m1);
}

double pq_inverse(double light) {
    double low = 0, high = 1;  // by halving, so that no second formula can share a mistake
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        (pq_eotf(middle) < light ? low : high) = middle;
    }
    return low;
}

// BT.2100-2, table 5: the OETF; turned round by halving.
double hlg_inverse_oetf(double code) {
    const auto oetf = [](double e) {
        const double a = 0.17883277, b = 0.28466892, c = 0.55991073;
        return e <= 1.0 / 12 ? std::sqrt(3 * e) : a * std::log(12 * e - b) + c;
    };
    double low = 0, high = 1;
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        (oetf(middle) < code ? low : high) = middle;
    }
    return low;
}

// ITU-R BT.2390, EETF for a source peak of 1000 and a display of 100 cd/m2, both black at 0; from memory.
double eetf(double light) {
    const double white = pq_inverse(1000), most = pq_inverse(100) / white, knee = 1.5 * most - 0.5;
    double e = std::min(1.0, pq_inverse(light) / white);
    if (e >= knee) {
        const double t = (e - knee) / (1 - knee);
        e = (2 * t * t * t - 3 * t * t + 1) * knee + (t * t * t - 2 * t * t + t) * (1 - knee) +
            (-2 * t * t * t + 3 * t * t) * most;
    }
    return pq_eotf(e * white);
}

using Triple = std::array<double, 3>;

// ITU-R BT.2087-0, the matrix of section 2 turned round, as published to four places; from memory.
const double kTo709[3][3] = {
    {1.6605, -0.5876, -0.0728}, {-0.1246, 1.1329, -0.0083}, {-0.0182, -0.1006, 1.1187}};

// Six places, from memory, agreeing with the published four: four alone are worth some code values near
// black.
const double kFinelyTo709[3][3] = {
    {1.660491, -0.587641, -0.072850}, {-0.124550, 1.132900, -0.008349}, {-0.018151, -0.100579, 1.118730}};

// R'G'B' to the codes of an SDR display, 0 to 255, when the display's light is 'more' than it should be, in
// parts of its white.
Triple shown(Triple code, bool hlg, double more) {
    Triple light;
    for (std::size_t c = 0; c < 3; ++c)
        light[c] = hlg ? hlg_inverse_oetf(code[c]) : pq_eotf(code[c]);
    if (hlg) {
        // BT.2100-2, table 5: OOTF, 1000 cd/m2 and gamma 1.2.
        const double y = 0.2627 * light[0] + 0.6780 * light[1] + 0.0593 * light[2];
        for (double& l : light)
            l *= 1000 * std::pow(y, 0.2);
    }
    const double most = std::max({light[0], light[1], light[2], 1e-9}), scale = eetf(most) / most;
    Triple result;
    for (std::size_t r = 0; r < 3; ++r) {
        double linear = 0;
        for (std::size_t c = 0; c < 3; ++c)
            linear += kFinelyTo709[r][c] * light[c] * scale / 100;
        result[r] = 255 * std::pow(std::min(1.0, std::max(0.0, linear + more)), 1 / 2.4);  // BT.1886
    }
    return result;
}

std::size_t step(double x) {
    return static_cast<std::size_t>(std::lround(x * (kHdrSteps - 1)));
}

// What the tables' steps may cost, in parts of the display's white. Near black, where a colour lies at the
// edge of what BT.709 can show, that is some code values; elsewhere less than a tenth of one.
constexpr double kLightBound = 0.0005;

MadePicture grey_and_colours(bool hlg) {
    PictureTags tags;
    tags.transfer = hlg ? AVCOL_TRC_ARIB_STD_B67 : AVCOL_TRC_SMPTE2084;
    tags.primaries = AVCOL_PRI_BT2020;
    // The first rows are a ramp of greys, the rest is of every colour.
    return make_picture(AV_PIX_FMT_GBRP10LE, 1024, 40, tags, [](int part, int x, int y) {
        return y < 4 ? x : (x * (37 + 14 * part) + y * (101 + 55 * part) + (x * y) / 3) % 1024;
    });
}

}  // namespace

TEST_CASE("reference levels of HLG and PQ have the published light") {
    const HdrTables &hlg = hdr_tables(Display::hlg), &pq = hdr_tables(Display::pq);
    // ITU-R BT.2408-4, table 1 (from memory): HDR reference white is 203 cd/m2, at 58 % of PQ and 75 % of
    // HLG; an 18 % grey card is 26 cd/m2, at 38 % of both.
    CHECK(1000 * pq.light[step(0.58069)] == Approx(203).epsilon(0.002));
    CHECK(1000 * pq.light[step(0.38)] == Approx(26).epsilon(0.03));
    const auto hlg_display = [&](double code) {
        const float scene = hlg.light[step(code)];
        return 1000.0 * scene * hlg.ootf[step(std::sqrt(scene))];
    };
    CHECK(hlg_display(0.75) == Approx(203).epsilon(0.003));
    CHECK(hlg_display(0.38) == Approx(26).epsilon(0.03));
    CHECK(hlg_display(1) == Approx(1000).epsilon(1e-6));
    // BT.2100-2: the two parts of HLG's curve meet at 50 % for 1/12 of the light; PQ ends at 10 000 cd/m2.
    CHECK(hlg.light[step(0.5)] == Approx(1.0 / 12).epsilon(0.001));
    CHECK(pq.light.front() == 0);
    CHECK(pq.light.back() == Approx(10).epsilon(1e-6));
}

TEST_CASE("the matrices between primaries are the published ones") {
    const auto matrix = to_bt709(Primaries::bt2020);
    for (std::size_t r = 0; r < 3; ++r)
        for (std::size_t c = 0; c < 3; ++c)
            CHECK(matrix[r][c] == Approx(kTo709[r][c]).margin(0.00006));
    const auto same = to_bt709(Primaries::bt709);
    CHECK(same[0][0] == Approx(1));
    CHECK(same[0][1] == Approx(0).margin(1e-12));
    CHECK(to_bt709(Primaries::untagged) == matrix);
    // BT.2020-2, table 4, and BT.709-6, 3.2: luma weights come from the primaries.
    const auto weights = luminance_weights(Primaries::bt2020);
    CHECK(weights[0] == Approx(0.2627).margin(0.00006));
    CHECK(weights[1] == Approx(0.6780).margin(0.00006));
    CHECK(luminance_weights(Primaries::bt709)[2] == Approx(0.0722).margin(0.00006));
}

TEST_CASE("HLG and PQ pictures follow the published formulas") {
    for (const bool hlg : {true, false}) {
        const MadePicture made = grey_and_colours(hlg);
        const RgbaImage image = to_rgba(*made.picture);
        double worst = 0, total = 0;
        for (int y = 0; y < image.height; ++y) {
            for (int x = 0; x < image.width; ++x) {
                Triple code;
                for (std::size_t c = 0; c < 3; ++c)
                    code[c] = made.parts[c].at(x, y) / 1023;
                const Triple exact = shown(code, hlg, 0), least = shown(code, hlg, -kLightBound),
                             most = shown(code, hlg, kLightBound);
                for (std::size_t c = 0; c < 3; ++c) {
                    const double value =
                        image.pixels[static_cast<std::size_t>(4 * (y * image.width + x)) + c];
                    worst = std::max({worst, least[c] - value, value - most[c]});
                    total += std::abs(value - exact[c]);
                }
            }
        }
        INFO((hlg ? "HLG" : "PQ") << " worst " << worst);
        CHECK(worst <= 0.55);                                      // rounding alone: 0.5
        CHECK(total / (3.0 * image.width * image.height) < 0.27);  // rounding alone: 0.25
    }
}

TEST_CASE("HDR greys stay in order, black stays black and the nominal peak is white") {
    for (const bool hlg : {true, false}) {
        const RgbaImage image = to_rgba(*grey_and_colours(hlg).picture);
        for (std::size_t x = 1; x < 1024; ++x)
            CHECK(image.pixels[4 * x] >= image.pixels[4 * (x - 1)]);
        CHECK(image.pixels[0] == 0);
        CHECK(image.pixels[4 * 1023] == 255);
        // HDR reference white of BT.2408, 75 % of HLG and 58 % of PQ: near the top of SDR, with room above.
        const int white = image.pixels[4 * (hlg ? 767 : 594)];
        CHECK(white >= 235);
        CHECK(white <= 247);
    }
}
