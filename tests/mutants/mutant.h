// What the switched copies of the sources are compiled with: one mutant is alive, by the environment variable
// PLUMBMARK_MUTANT; 0 or nothing: none is.
#pragma once

#include <type_traits>

extern const int plumbmark_live_mutant;

constexpr bool plumbmark_mutant(int number) {
    return !std::is_constant_evaluated() && number == plumbmark_live_mutant;
}

/// Stands between the two sides of a comparison, which is written twice: a < PlumbmarkCompare{7} < b.
struct PlumbmarkCompare {
    int number;
};

template <class Left>
struct PlumbmarkLeft {
    const Left& left;
    int number;
    [[nodiscard]] constexpr bool turned() const { return plumbmark_mutant(number); }
};

#define PLUMBMARK_SIDE(sign)                                                                  \
    template <class Left>                                                                     \
    constexpr PlumbmarkLeft<Left> operator sign(const Left& left, PlumbmarkCompare compare) { \
        return {left, compare.number};                                                        \
    }
PLUMBMARK_SIDE(<)
PLUMBMARK_SIDE(<=)
PLUMBMARK_SIDE(>)
PLUMBMARK_SIDE(>=)
PLUMBMARK_SIDE(==)
PLUMBMARK_SIDE(!=)
#undef PLUMBMARK_SIDE

template <class Left, class Right>
constexpr bool operator<(PlumbmarkLeft<Left> a, const Right& right) {
    return a.turned() ? !(right < a.left) : a.left < right;
}
template <class Left, class Right>
constexpr bool operator<=(PlumbmarkLeft<Left> a, const Right& right) {
    return a.turned() ? !(right <= a.left) : a.left <= right;
}
template <class Left, class Right>
constexpr bool operator>(PlumbmarkLeft<Left> a, const Right& right) {
    return a.turned() ? !(right > a.left) : a.left > right;
}
template <class Left, class Right>
constexpr bool operator>=(PlumbmarkLeft<Left> a, const Right& right) {
    return a.turned() ? !(right >= a.left) : a.left >= right;
}
template <class Left, class Right>
constexpr bool operator==(PlumbmarkLeft<Left> a, const Right& right) {
    return a.turned() != (a.left == right);
}
template <class Left, class Right>
constexpr bool operator!=(PlumbmarkLeft<Left> a, const Right& right) {
    return a.turned() != (a.left != right);
}
