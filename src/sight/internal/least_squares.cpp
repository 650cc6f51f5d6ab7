#include "sight/internal/least_squares.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/core.hpp>

namespace plumbmark::sight {
namespace {

double sum_of_squares(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values)
        sum += value * value;
    return std::isfinite(sum) ? sum : std::numeric_limits<double>::infinity();
}

std::vector<double> column_lengths(const Dense& jacobian) {
    std::vector<double> lengths(static_cast<std::size_t>(jacobian.columns));
    for (int r = 0; r < jacobian.rows; ++r)
        for (int c = 0; c < jacobian.columns; ++c)
            lengths[static_cast<std::size_t>(c)] += jacobian.at(r, c) * jacobian.at(r, c);
    for (double& length : lengths)
        length = length > 0 ? std::sqrt(length) : 1;
    return lengths;
}

/// The step that makes |J step + r|^2 + damping |D step|^2 least, D being the columns' largest lengths so
/// far.
std::vector<double> damped_step(const Settled& at, const std::vector<double>& scale, double damping) {
    const int n = at.jacobian.columns, m = at.jacobian.rows;
    cv::Mat left = cv::Mat::zeros(m + n, n, CV_64F), right = cv::Mat::zeros(m + n, 1, CV_64F);
    for (int r = 0; r < m; ++r) {
        for (int c = 0; c < n; ++c)
            left.at<double>(r, c) = at.jacobian.at(r, c) / scale[static_cast<std::size_t>(c)];
        right.at<double>(r) = -at.residuals[static_cast<std::size_t>(r)];
    }
    for (int c = 0; c < n; ++c)
        left.at<double>(m + c, c) = std::sqrt(damping);
    cv::Mat solution;
    if (!cv::solve(left, right, solution, cv::DECOMP_QR)) return {};
    std::vector<double> step(static_cast<std::size_t>(n));
    for (int c = 0; c < n; ++c)
        step[static_cast<std::size_t>(c)] = solution.at<double>(c) / scale[static_cast<std::size_t>(c)];
    return step;
}

/// How much smaller the sum would be if the residuals were linear.
double promised(const Settled& at, const std::vector<double>& step) {
    double sum = 0;
    for (int r = 0; r < at.jacobian.rows; ++r) {
        double value = at.residuals[static_cast<std::size_t>(r)];
        for (int c = 0; c < at.jacobian.columns; ++c)
            value += at.jacobian.at(r, c) * step[static_cast<std::size_t>(c)];
        sum += value * value;
    }
    return at.sum - sum;
}

bool is_small(const std::vector<double>& step, const std::vector<double>& x,
              const std::vector<double>& scale) {
    double size = 0, all = 0;
    for (std::size_t i = 0; i < step.size(); ++i) {
        size += step[i] * step[i] * scale[i] * scale[i];
        all += x[i] * x[i] * scale[i] * scale[i];
    }
    return std::sqrt(size) <= 1e-12 * (std::sqrt(all) + 1e-12);
}

}  // namespace

Settled settle(const Problem& problem, std::vector<double> x, int most_steps) {
    Settled at;
    at.x = std::move(x);
    const auto look = [&](Settled& here) {
        here.residuals.assign(static_cast<std::size_t>(problem.equations), 0);
        here.jacobian = Dense(problem.equations, problem.unknowns);
        const bool stands = problem.residuals(here.x, here.residuals, &here.jacobian);
        here.sum = stands ? sum_of_squares(here.residuals) : std::numeric_limits<double>::infinity();
    };
    look(at);
    std::vector<double> scale = column_lengths(at.jacobian);
    double damping = 1e-3, grow = 2;
    while (at.steps < most_steps && std::isfinite(at.sum)) {
        ++at.steps;
        const std::vector<double> step = damped_step(at, scale, damping);
        if (!step.empty() && is_small(step, at.x, scale)) {
            at.still = true;
            break;
        }
        Settled next;
        next.sum = std::numeric_limits<double>::infinity();
        if (!step.empty()) {
            next.x = at.x;
            if (problem.move)
                problem.move(next.x, step);
            else
                for (std::size_t i = 0; i < step.size(); ++i)
                    next.x[i] += step[i];
            look(next);
        }
        const double gain = at.sum - next.sum;
        if (!(gain > 0)) {
            // Nothing left to gain but what rounding makes of it.
            if (!step.empty() && promised(at, step) <= 1e-15 * at.sum) {
                at.still = true;
                break;
            }
            damping *= grow;
            grow *= 2;
            if (!(damping < 1e30)) break;
            continue;
        }
        const double ratio = gain / std::max(promised(at, step), 1e-300);
        damping *= std::max(1.0 / 3, 1 - std::pow(2 * ratio - 1, 3));
        damping = std::max(damping, 1e-15);
        grow = 2;
        next.steps = at.steps;
        at = std::move(next);
        const std::vector<double> lengths = column_lengths(at.jacobian);
        for (std::size_t i = 0; i < scale.size(); ++i)
            scale[i] = std::max(scale[i], lengths[i]);
    }
    return at;
}

Known known(const Dense& jacobian) {
    const int n = jacobian.columns;
    const std::vector<double> scale = column_lengths(jacobian);
    cv::Mat scaled(jacobian.rows, n, CV_64F);
    for (int r = 0; r < jacobian.rows; ++r)
        for (int c = 0; c < n; ++c)
            scaled.at<double>(r, c) = jacobian.at(r, c) / scale[static_cast<std::size_t>(c)];
    cv::Mat singular, left, right;
    cv::SVD::compute(scaled, singular, left, right);
    Known out;
    out.covariance = Dense(n, n);
    out.weak.assign(static_cast<std::size_t>(n), 0);
    const int rank = singular.rows;
    out.weakest = rank < n ? 0 : singular.at<double>(n - 1) / singular.at<double>(0);
    if (rank < n) return out;
    for (int c = 0; c < n; ++c)
        out.weak[static_cast<std::size_t>(c)] = right.at<double>(n - 1, c);
    for (int i = 0; i < n; ++i) {
        for (int j = 0; j < n; ++j) {
            double sum = 0;
            for (int k = 0; k < n; ++k)
                sum += right.at<double>(k, i) * right.at<double>(k, j) /
                       (singular.at<double>(k) * singular.at<double>(k));
            out.covariance.at(i, j) =
                sum / (scale[static_cast<std::size_t>(i)] * scale[static_cast<std::size_t>(j)]);
        }
    }
    return out;
}

}  // namespace plumbmark::sight
