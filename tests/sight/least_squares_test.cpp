// Non-linear least squares against the certified values of the Statistical Reference Datasets (NIST/ITL StRD,
// nonlinear regression): parameters, residual sum of squares and standard deviations, from both of NIST's
// starts.
#include "sight/internal/least_squares.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "sight/internal/jet.h"
#include "support/test_places.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

using J = sight::Jet<9>;

J chained(const J& a, double value, double slope) {
    J out(value);
    for (std::size_t i = 0; i < a.by.size(); ++i)
        out.by[i] = slope * a.by[i];
    return out;
}
J exp(const J& a) {
    return chained(a, std::exp(a.value), std::exp(a.value));
}
J log(const J& a) {
    return chained(a, std::log(a.value), 1 / a.value);
}
J pow(const J& a, const J& b) {
    return exp(b * log(a));
}
J square(const J& a) {
    return a * a;
}

struct Set {
    std::vector<std::vector<double>> x;
    std::vector<double> y;
    std::vector<double> first, second, certified, standard;
    double sum = 0;
};

/// "Data (lines 61 to 214)" and the like tell where things stand.
Set read(const fs::path& file) {
    std::ifstream in(file);
    std::vector<std::string> lines;
    for (std::string line; std::getline(in, line);)
        lines.push_back(line);
    Set set;
    std::size_t data = 0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        std::istringstream words(lines[i]);
        std::string name, equals;
        words >> name >> equals;
        if (name.size() == 2 && name[0] == 'b' && equals == "=") {
            double a = 0, b = 0, c = 0, d = 0;
            words >> a >> b >> c >> d;
            set.first.push_back(a);
            set.second.push_back(b);
            set.certified.push_back(c);
            set.standard.push_back(d);
        }
        if (lines[i].rfind("Residual Sum of Squares:", 0) == 0) set.sum = std::stod(lines[i].substr(24));
        if (lines[i].rfind("Data:", 0) == 0) data = i + 1;
    }
    for (std::size_t i = data; i < lines.size(); ++i) {
        std::istringstream words(lines[i]);
        double y = 0, x = 0;
        std::vector<double> xs;
        if (!(words >> y)) continue;
        while (words >> x)
            xs.push_back(x);
        set.y.push_back(y);
        set.x.push_back(xs);
    }
    return set;
}

using Curve = J (*)(const std::vector<J>& b, const std::vector<double>& x);

struct Named {
    const char* name;
    Curve curve;
    bool logarithm = false;
};

J cubic_over_cubic(const std::vector<J>& b, const std::vector<double>& x) {
    const double t = x[0];
    return (b[0] + b[1] * t + b[2] * (t * t) + b[3] * (t * t * t)) /
           (J(1) + b[4] * t + b[5] * (t * t) + b[6] * (t * t * t));
}
J three_decays(const std::vector<J>& b, const std::vector<double>& x) {
    const J t(x[0]), none(0);
    return b[0] * exp(none - b[1] * t) + b[2] * exp(none - b[3] * t) + b[4] * exp(none - b[5] * t);
}

const std::vector<Named> kSets{
    {"Misra1a", [](const auto& b, const auto& x) { return b[0] * (J(1) - exp(J(0) - b[1] * x[0])); }},
    {"Misra1c",
     [](const auto& b, const auto& x) { return b[0] * (J(1) - pow(J(1) + J(2) * b[1] * x[0], J(-0.5))); }},
    {"Chwirut1", [](const auto& b, const auto& x) { return exp(J(0) - b[0] * x[0]) / (b[1] + b[2] * x[0]); }},
    {"Lanczos1", three_decays},
    {"Lanczos3", three_decays},
    {"Gauss2",
     [](const auto& b, const auto& x) {
         const J t(x[0]);
         return b[0] * exp(J(0) - b[1] * t) + b[2] * exp(J(0) - square(t - b[3]) / square(b[4])) +
                b[5] * exp(J(0) - square(t - b[6]) / square(b[7]));
     }},
    {"DanWood", [](const auto& b, const auto& x) { return b[0] * pow(J(x[0]), b[1]); }},
    {"Hahn1", cubic_over_cubic},
    {"Thurber", cubic_over_cubic},
    {"Nelson", [](const auto& b, const auto& x) { return b[0] - b[1] * x[0] * exp(J(0) - b[2] * x[1]); },
     true},
    {"MGH10", [](const auto& b, const auto& x) { return b[0] * exp(b[1] / (J(x[0]) + b[2])); }},
    {"Rat43",
     [](const auto& b, const auto& x) { return b[0] / pow(J(1) + exp(b[1] - b[2] * x[0]), J(1) / b[3]); }},
    {"Bennett5", [](const auto& b, const auto& x) { return b[0] * pow(b[1] + J(x[0]), J(-1) / b[2]); }},
    {"Eckerle4", [](const auto& b,
                    const auto& x) { return b[0] / b[1] * exp(J(-0.5) * square((J(x[0]) - b[2]) / b[1])); }},
};

sight::Problem problem_of(const Named& named, const Set& set) {
    sight::Problem problem;
    problem.unknowns = static_cast<int>(set.certified.size());
    problem.equations = static_cast<int>(set.y.size());
    problem.residuals = [&named, &set](const std::vector<double>& at, std::vector<double>& out,
                                       sight::Dense* jacobian) {
        std::vector<J> b;
        for (std::size_t i = 0; i < at.size(); ++i)
            b.push_back(J::of(at[i], i));
        for (std::size_t n = 0; n < set.y.size(); ++n) {
            const J y = named.curve(b, set.x[n]);
            if (!std::isfinite(y.value)) return false;
            out[n] = y.value - (named.logarithm ? std::log(set.y[n]) : set.y[n]);
            if (jacobian == nullptr) continue;
            for (std::size_t i = 0; i < at.size(); ++i)
                jacobian->at(static_cast<int>(n), static_cast<int>(i)) = y.by[i];
        }
        return true;
    };
    return problem;
}

}  // namespace

TEST_CASE("certified curves are fitted from both of their starts to the certified digits") {
    const fs::path folder = test::shared_folder() / "clips/geometry/nist-strd";
    if (!fs::exists(folder)) {
        WARN("skipped: the certified sets are not beside the project");
        return;
    }
    for (const Named& named : kSets) {
        const Set set = read(folder / (std::string(named.name) + ".dat"));
        REQUIRE(set.certified.size() >= 2);
        REQUIRE(set.y.size() >= 6);
        const sight::Problem problem = problem_of(named, set);
        for (const auto& start : {set.first, set.second}) {
            INFO(named.name << " from " << start.front());
            const sight::Settled at = sight::settle(problem, start, 2000);
            // NIST's hardest start lies behind a long bent valley: whoever runs out of steps in it must say
            // so.
            if (std::string(named.name) == "MGH10" && start == set.first) {
                CHECK_FALSE(at.still);
                continue;
            }
            CHECK(at.still);
            const sight::Known known = sight::known(at.jacobian);
            const double freedom = static_cast<double>(set.y.size() - set.certified.size());
            for (std::size_t i = 0; i < set.certified.size(); ++i) {
                INFO("b" << i + 1);
                CHECK(at.x[i] == Approx(set.certified[i]).epsilon(1e-6));
                // Lanczos1 has residuals of 1e-13 only: they are rounding, and so is what is made of them.
                if (std::string(named.name) == "Lanczos1") continue;
                const int k = static_cast<int>(i);
                CHECK(std::sqrt(known.covariance.at(k, k) * at.sum / freedom) ==
                      Approx(set.standard[i]).epsilon(1e-5));
            }
            if (std::string(named.name) != "Lanczos1") CHECK(at.sum == Approx(set.sum).epsilon(1e-8));
        }
    }
}

TEST_CASE("what cannot be told is said with how much of each unknown is in it") {
    // Two unknowns of which only the sum is seen.
    sight::Dense jacobian(3, 3);
    for (int r = 0; r < 3; ++r) {
        jacobian.at(r, 0) = jacobian.at(r, 1) = r + 1;
        jacobian.at(r, 2) = r * r;
    }
    const sight::Known known = sight::known(jacobian);
    CHECK(known.weakest < 1e-12);
    CHECK(std::abs(known.weak[0]) == Approx(std::sqrt(0.5)));
    CHECK(known.weak[1] == Approx(-known.weak[0]));
    CHECK(known.weak[2] == Approx(0).margin(1e-9));
}
