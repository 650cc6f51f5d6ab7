#include "media/hdr.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace plumbmark::media {
namespace {

// ITU-R BT.2100-2, table 4.
constexpr double kM1 = 2610.0 / 16384, kM2 = 2523.0 / 4096 * 128;
constexpr double kC1 = 3424.0 / 4096, kC2 = 2413.0 / 4096 * 32, kC3 = 2392.0 / 4096 * 32;

constexpr double kSourcePeak = 1000, kDisplayPeak = 100, kPqPeak = 10000;  // cd/m2
constexpr double kSystemGamma = 1.2;   // BT.2100-2, note 5f, at 1000 cd/m2
constexpr double kDisplayGamma = 2.4;  // BT.1886

double pq_light(double code) {
    const double p = std::pow(code, 1 / kM2);
    return kPqPeak * std::pow(std::max(0.0, p - kC1) / (kC2 - kC3 * p), 1 / kM1);
}

double pq_code(double light) {
    const double p = std::pow(light / kPqPeak, kM1);
    return std::pow((kC1 + kC2 * p) / (1 + kC3 * p), kM2);
}

// BT.2100-2, table 5.
double hlg_scene(double code) {
    const double a = 0.17883277, b = 1 - 4 * a, c = 0.5 - a * std::log(4 * a);
    return code <= 0.5 ? code * code / 3 : (std::exp((code - c) / a) + b) / 12;
}

// BT.2390's EETF; light in cd/m2.
double eetf(double light) {
    const double top = pq_code(kSourcePeak), most = pq_code(kDisplayPeak) / top;
    const double knee = 1.5 * most - 0.5, e = std::min(1.0, pq_code(light) / top);
    if (e < knee) return light;
    const double t = (e - knee) / (1 - knee), t2 = t * t, t3 = t2 * t;
    const double mapped =
        (2 * t3 - 3 * t2 + 1) * knee + (t3 - 2 * t2 + t) * (1 - knee) + (3 * t2 - 2 * t3) * most;
    return pq_light(mapped * top);
}

template <class Function>
HdrTable sampled(Function function) {
    HdrTable table(kHdrSteps);
    for (int i = 0; i < kHdrSteps; ++i)
        table[static_cast<std::size_t>(i)] =
            static_cast<float>(function(static_cast<double>(i) / (kHdrSteps - 1)));
    return table;
}

HdrTables make_tables(Display display) {
    HdrTables tables;
    if (display == Display::hlg) {
        tables.light = sampled(hlg_scene);
        tables.ootf = sampled([](double root) { return std::pow(root * root, kSystemGamma - 1); });
    } else {
        tables.light = sampled([](double code) { return pq_light(code) / kSourcePeak; });
    }
    tables.gain = sampled([](double root) {
        const double light = std::max(root * root * kSourcePeak, 1e-6);
        return eetf(light) / light * kSourcePeak / kDisplayPeak;
    });
    tables.code = sampled([](double root) { return std::pow(root * root, 1 / kDisplayGamma); });
    return tables;
}

using Matrix = std::array<std::array<double, 3>, 3>;

Matrix inverse(const Matrix& m) {
    const auto minor = [&](std::size_t r, std::size_t c) {
        const std::size_t r1 = (r + 1) % 3, r2 = (r + 2) % 3, c1 = (c + 1) % 3, c2 = (c + 2) % 3;
        return m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1];
    };
    const double determinant = m[0][0] * minor(0, 0) + m[0][1] * minor(0, 1) + m[0][2] * minor(0, 2);
    Matrix result;
    for (std::size_t r = 0; r < 3; ++r)
        for (std::size_t c = 0; c < 3; ++c)
            result[c][r] = minor(r, c) / determinant;
    return result;
}

struct Chromaticities {
    double x[3], y[3];  // of R, G and B; the white is D65 with all
};

// H.273, table 2.
Chromaticities chromaticities_of(Primaries primaries) {
    switch (primaries) {
        case Primaries::bt709:
            return {{0.640, 0.300, 0.150}, {0.330, 0.600, 0.060}};
        case Primaries::p3:
            return {{0.680, 0.265, 0.150}, {0.320, 0.690, 0.060}};
        default:
            return {{0.708, 0.170, 0.131}, {0.292, 0.797, 0.046}};
    }
}

// SMPTE RP 177: columns scaled so that R = G = B = 1 is the white.
Matrix to_xyz(Primaries primaries) {
    constexpr double white_x = 0.3127, white_y = 0.3290;
    const double white[3] = {white_x / white_y, 1, (1 - white_x - white_y) / white_y};
    const Chromaticities at = chromaticities_of(primaries);
    Matrix m;
    for (std::size_t c = 0; c < 3; ++c) {
        m[0][c] = at.x[c] / at.y[c];
        m[1][c] = 1;
        m[2][c] = (1 - at.x[c] - at.y[c]) / at.y[c];
    }
    const Matrix back = inverse(m);
    for (std::size_t c = 0; c < 3; ++c) {
        const double scale = back[c][0] * white[0] + back[c][1] * white[1] + back[c][2] * white[2];
        for (std::size_t r = 0; r < 3; ++r)
            m[r][c] *= scale;
    }
    return m;
}

}  // namespace

const HdrTables& hdr_tables(Display display) {
    PLUMBMARK_CHECK(display != Display::codes);
    static const HdrTables hlg = make_tables(Display::hlg), pq = make_tables(Display::pq);
    return display == Display::hlg ? hlg : pq;
}

std::array<std::array<double, 3>, 3> to_bt709(Primaries primaries) {
    const Matrix from = to_xyz(primaries), to = inverse(to_xyz(Primaries::bt709));
    Matrix result{};
    for (std::size_t r = 0; r < 3; ++r)
        for (std::size_t c = 0; c < 3; ++c)
            for (std::size_t k = 0; k < 3; ++k)
                result[r][c] += to[r][k] * from[k][c];
    return result;
}

std::array<double, 3> luminance_weights(Primaries primaries) {
    return to_xyz(primaries)[1];
}

}  // namespace plumbmark::media
