#include "sight/space.h"

#include <algorithm>

namespace plumbmark::sight {

Mat3 turning(Vec3 axis) {
    const double angle = length(axis);
    // sin(a)/a and (1-cos(a))/a^2, by their series where the quotients would lose digits.
    const double square = angle * angle;
    const double s = angle < 1e-4 ? 1 - square / 6 : std::sin(angle) / angle;
    const double half = angle < 1e-4 ? 0.5 - square / 24 : (1 - std::cos(angle)) / square;
    const auto [x, y, z] = axis;
    return {{{1 - half * (y * y + z * z), half * x * y - s * z, half * x * z + s * y},
             {half * x * y + s * z, 1 - half * (x * x + z * z), half * y * z - s * x},
             {half * x * z - s * y, half * y * z + s * x, 1 - half * (x * x + y * y)}}};
}

Vec3 axis_of(const Mat3& m) {
    const Vec3 odd{m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1]};
    const double sine = length(odd) / 2;
    const double cosine = (m[0][0] + m[1][1] + m[2][2] - 1) / 2;
    const double angle = std::atan2(sine, cosine);
    if (sine > 1e-6) return (angle / (2 * sine)) * odd;
    if (cosine > 0) return 0.5 * odd;
    // Half a turn, or nearly: (m + 1) / 2 is the axis times itself. Its longest column has the most digits;
    // the odd part, where there is any, says which way.
    Vec3 best{};
    for (std::size_t j = 0; j < 3; ++j) {
        const Vec3 column{m[0][j] + (j == 0 ? 1 : 0), m[1][j] + (j == 1 ? 1 : 0), m[2][j] + (j == 2 ? 1 : 0)};
        if (length(column) > length(best)) best = column;
    }
    const Vec3 axis = (dot(best, odd) < 0 ? -angle : angle) * unit(best);
    return axis;
}

}  // namespace plumbmark::sight
