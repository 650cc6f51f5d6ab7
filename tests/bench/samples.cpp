#include "samples.h"

#include <algorithm>
#include <cmath>

namespace plumbmark::bench {

double quantile(std::vector<double> values, double q) {
    if (values.empty()) return 0;
    const auto last = static_cast<double>(values.size() - 1);
    const double rank = std::clamp(std::ceil(q * static_cast<double>(values.size())) - 1, 0.0, last);
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(rank);
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

double median(const std::vector<double>& values) {
    if (values.empty()) return 0;
    if (values.size() % 2 == 1) return quantile(values, 0.5);
    const double half = static_cast<double>(values.size()) / 2;
    return (quantile(values, 0.5) + quantile(values, (half + 1) / (2 * half))) / 2;
}

double worst_twentieth(const std::vector<double>& values, Better better) {
    if (better == Better::less) return quantile(values, 0.95);
    std::vector<double> mirrored(values);
    for (double& value : mirrored)
        value = -value;
    return -quantile(std::move(mirrored), 0.95);
}

}  // namespace plumbmark::bench
