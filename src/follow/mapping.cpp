#include "follow/mapping.h"

#include <cmath>

namespace plumbmark::follow {

std::optional<Point> Mapping::operator()(const Point& point) const {
    const double w = m[6] * point[0] + m[7] * point[1] + m[8];
    if (!(w > 1e-9)) return std::nullopt;
    return Point{(m[0] * point[0] + m[1] * point[1] + m[2]) / w,
                 (m[3] * point[0] + m[4] * point[1] + m[5]) / w};
}

std::optional<Mapping> Mapping::inverse() const {
    const auto minor = [this](std::size_t a, std::size_t b, std::size_t c, std::size_t d) {
        return m[a] * m[d] - m[b] * m[c];
    };
    const std::array<double, 9> adjugate{minor(4, 5, 7, 8), minor(2, 1, 8, 7), minor(1, 2, 4, 5),
                                         minor(5, 3, 8, 6), minor(0, 2, 6, 8), minor(2, 0, 5, 3),
                                         minor(3, 4, 6, 7), minor(1, 0, 7, 6), minor(0, 1, 3, 4)};
    const double determinant = m[0] * adjugate[0] + m[1] * adjugate[3] + m[2] * adjugate[6];
    if (!std::isfinite(determinant) || std::abs(determinant) < 1e-12 || std::abs(adjugate[8]) < 1e-12)
        return std::nullopt;
    Mapping back;
    for (std::size_t i = 0; i < 9; ++i)
        back.m[i] = adjugate[i] / adjugate[8];
    return back;
}

}  // namespace plumbmark::follow
