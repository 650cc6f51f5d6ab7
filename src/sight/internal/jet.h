// A number with its derivatives by N things at once (forward differentiation; A. Griewank and A. Walther,
// 'Evaluating Derivatives', 2nd ed. 2008, chapter 3): what is computed with it is exact to rounding.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

namespace plumbmark::sight {

template <std::size_t N>
struct Jet {
    double value = 0;
    std::array<double, N> by{};

    Jet() = default;
    Jet(double constant) : value(constant) {}
    /// The k-th of the things itself.
    static Jet of(double value, std::size_t k) {
        Jet jet(value);
        jet.by[k] = 1;
        return jet;
    }

    friend Jet operator+(Jet a, const Jet& b) {
        a.value += b.value;
        for (std::size_t i = 0; i < N; ++i)
            a.by[i] += b.by[i];
        return a;
    }
    friend Jet operator-(Jet a, const Jet& b) {
        a.value -= b.value;
        for (std::size_t i = 0; i < N; ++i)
            a.by[i] -= b.by[i];
        return a;
    }
    friend Jet operator*(const Jet& a, const Jet& b) {
        Jet out(a.value * b.value);
        for (std::size_t i = 0; i < N; ++i)
            out.by[i] = a.by[i] * b.value + a.value * b.by[i];
        return out;
    }
    friend Jet operator/(const Jet& a, const Jet& b) {
        Jet out(a.value / b.value);
        for (std::size_t i = 0; i < N; ++i)
            out.by[i] = (a.by[i] - out.value * b.by[i]) / b.value;
        return out;
    }
};

}  // namespace plumbmark::sight
