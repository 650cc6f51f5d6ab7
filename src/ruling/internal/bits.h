// The sets of marks that the search goes through.
#pragma once

#include <bitset>
#include <cstddef>

namespace plumbmark::ruling {

inline constexpr std::size_t kMostMarks = 512;
using MarkBits = std::bitset<kMostMarks>;

}  // namespace plumbmark::ruling
