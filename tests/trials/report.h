// What came of many trials, counted and printed.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "trials/judge.h"

namespace plumbmark::trials {

/// The classes of the camera's angle to the plane, in degrees; the last ends at 90.
inline constexpr std::array<double, 6> kAngles{0, 2, 5, 10, 20, 40};
[[nodiscard]] std::size_t angle_class(double angle);

/// A share of so many, with the ends of its 95 % interval (C. Clopper and E. Pearson 1934).
struct Share {
    std::size_t of = 0, are = 0;
    [[nodiscard]] double value() const {
        return of == 0 ? 0 : static_cast<double>(are) / static_cast<double>(of);
    }
    [[nodiscard]] double standard() const;  ///< binomial
    struct Ends {
        double low = 0, high = 1;
    };
    [[nodiscard]] Ends ends() const;
};

/// Outcomes of a kind.
struct Tally {
    std::size_t asked = 0, no_camera = 0, refused = 0;
    Share likely, sure;     ///< intervals that hold the truth, of the answers
    Share wrong;            ///< of the answers with a word
    Share suspicious;       ///< of the answers
    Share by_draws;         ///< of the answers
    double squares = 0;     ///< of the errors
    double normalised = 0;  ///< of the errors over their stated standard deviations
    std::vector<double> half_widths, errors;

    void take(const Outcome& outcome);
    [[nodiscard]] std::size_t answers() const { return likely.of; }
    [[nodiscard]] double rms() const;
    [[nodiscard]] double normalised_rms() const;
    [[nodiscard]] double median_half_width() const;
    [[nodiscard]] double median_error() const;  ///< of their sizes
};

struct Trials {
    std::size_t setups = 0;
    std::vector<Outcome> outcomes;

    template <class Is>
    [[nodiscard]] Tally of(const Is& is) const {
        Tally tally;
        for (const Outcome& outcome : outcomes)
            if (is(outcome)) tally.take(outcome);
        return tally;
    }
};

/// Tables of Markdown.
[[nodiscard]] std::string text_of(const Trials& trials);
[[nodiscard]] std::string json_of(const Trials& trials);

}  // namespace plumbmark::trials
