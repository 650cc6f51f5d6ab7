// Non-linear least squares: the step of K. Levenberg (1944) and D. Marquardt (1963) with the gain rule of
// K. Madsen, H. B. Nielsen and O. Tingleff ('Methods for non-linear least squares problems', 2nd ed. 2004,
// section 3.2), by orthogonal factors of the Jacobian, never by its square, so that half the digits are not
// lost.
#pragma once

#include <functional>
#include <vector>

namespace plumbmark::sight {

/// By rows.
struct Dense {
    int rows = 0, columns = 0;
    std::vector<double> values;

    Dense() = default;
    Dense(int r, int c)
        : rows(r), columns(c), values(static_cast<std::size_t>(r) * static_cast<std::size_t>(c)) {}
    [[nodiscard]] double& at(int r, int c) {
        return values[static_cast<std::size_t>(r) * static_cast<std::size_t>(columns) +
                      static_cast<std::size_t>(c)];
    }
    [[nodiscard]] double at(int r, int c) const {
        return values[static_cast<std::size_t>(r) * static_cast<std::size_t>(columns) +
                      static_cast<std::size_t>(c)];
    }
};

struct Problem {
    int unknowns = 0, equations = 0;
    /// The residuals at x, each divided by its standard deviation, and where 'jacobian' is not null their
    /// derivatives (equations x unknowns). False: x is nowhere one may stand.
    std::function<bool(const std::vector<double>& x, std::vector<double>& residuals, Dense* jacobian)>
        residuals;
    /// x moved by a step; without it they are added. 'jacobian' is by such a step at none. x and the step are
    /// 'unknowns' long.
    std::function<void(std::vector<double>& x, const std::vector<double>& step)> move;
};

struct Settled {
    std::vector<double> x;
    std::vector<double> residuals;
    Dense jacobian;
    double sum = 0;  ///< of the squared residuals
    int steps = 0;
    bool still = false;  ///< the last step changed nothing any more; else the steps ran out
};

/// From 'x' on. Not still: what was found within 'most_steps'. 'x' must be somewhere one may stand.
[[nodiscard]] Settled settle(const Problem& problem, std::vector<double> x, int most_steps = 200);

/// How well the unknowns are known: the inverse of J'J by the singular values of J, its columns scaled to the
/// same length first. 'weakest' is the smallest of these singular values over the largest: where it is near
/// zero something of the unknowns cannot be told, and 'weak' says how much of each is in that.
struct Known {
    Dense covariance;  ///< unknowns x unknowns; times the variance of a residual where that is not 1
    double weakest = 0;
    std::vector<double> weak;
};
[[nodiscard]] Known known(const Dense& jacobian);

}  // namespace plumbmark::sight
