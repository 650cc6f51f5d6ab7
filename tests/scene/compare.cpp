#include "compare.h"

#include <algorithm>
#include <cstdlib>

#include "base/check.h"

namespace plumbmark::scene {
namespace {

double worst_block(const std::vector<std::uint8_t>& a, const std::vector<std::uint8_t>& b, int width,
                   int height) {
    int worst = 0;
    for (int by = 0; by + 8 <= height; by += 8) {
        for (int bx = 0; bx + 8 <= width; bx += 8) {
            int sum = 0;
            for (int y = by; y < by + 8; ++y) {
                const auto row = static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                                 static_cast<std::size_t>(bx);
                for (std::size_t x = row; x < row + 8; ++x)
                    sum += std::abs(int{a[x]} - int{b[x]});
            }
            worst = std::max(worst, sum);
        }
    }
    return worst / 64.0;
}

}  // namespace

Difference difference_of(const Picture& a, const Picture& b) {
    PLUMBMARK_CHECK(a.width == b.width && a.height == b.height);
    std::int64_t squares = 0;
    for (std::size_t i = 0; i < a.y.size(); ++i) {
        const int d = int{a.y[i]} - int{b.y[i]};
        squares += d * d;
    }
    Difference out;
    const double mean = static_cast<double>(squares) / static_cast<double>(a.y.size());
    out.psnr = squares == 0 ? 99 : 10 / 2.302585092994046 * logarithm(255.0 * 255.0 / mean);
    out.worst_block = worst_block(a.y, b.y, a.width, a.height);
    out.worst_colour = std::max(worst_block(a.u, b.u, a.width / 2, a.height / 2),
                                worst_block(a.v, b.v, a.width / 2, a.height / 2));
    return out;
}

bool within_loss(const Difference& d) {
    return d.psnr >= kLeastPsnr && d.worst_block <= kMostBlock && d.worst_colour <= kMostColour;
}

}  // namespace plumbmark::scene
