#include "desk/internal/plot_axis.h"

#include <algorithm>
#include <cmath>

#include "desk/internal/say.h"

namespace plumbmark::desk {

double seconds_of(base::Duration duration) {
    constexpr double kSecond = 1e9;
    return static_cast<double>(duration.ns) / kSecond;
}

double even_step(double span, double most) {
    const double raw = span / std::max(1.0, most);
    const double power = std::pow(10.0, std::floor(std::log10(raw)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (factor * power >= raw) return factor * power;
    return 10 * power;
}

std::string tick_words(double seconds, double step, bool sign) {
    const int digits = step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
    if (std::abs(seconds) < step / 2) return tr("{:.0f} s", 0.0);
    return sign ? tr("{:+.{}f} s", seconds, digits) : tr("{:.{}f} s", seconds, digits);
}

void draw_upright_range(ImDrawList* list, const UprightRange& range, float half, float thick, ImU32 colour) {
    const float x = range.x;
    list->AddLine({x, range.top}, {x, range.bottom}, colour, thick);
    const auto end = [&](bool bounded, float y, float outward) {
        if (bounded)
            list->AddLine({x - half, y}, {x + half, y}, colour, thick);
        else
            list->AddTriangleFilled({x - half, y - outward * half}, {x + half, y - outward * half},
                                    {x, y + outward * half}, colour);
    };
    end(range.top_bounded, range.top, -1);
    end(range.bottom_bounded, range.bottom, 1);
}

}  // namespace plumbmark::desk
