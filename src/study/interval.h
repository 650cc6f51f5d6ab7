// Two ends of a figure that is not known better than to lie between them.
#pragma once

namespace plumbmark::study {

/// Both ends belong to it; low <= high.
struct Interval {
    double low = 0;
    double high = 0;
    [[nodiscard]] double width() const { return high - low; }
    [[nodiscard]] bool holds(double value) const { return low <= value && value <= high; }
    friend bool operator==(const Interval&, const Interval&) = default;
};

}  // namespace plumbmark::study
