// What bounds on differences imply, by the time network: its header and the zones' cannot stand in one file,
// since both name what they bound by 'Bound'.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace plumbmark::test {

/// x_i - x_j <= ns, or < ns where strict.
struct PlainBound {
    std::size_t i = 0, j = 0;
    std::int64_t ns = 0;
    bool strict = false;
};

/// The tightest bound on each x_i - x_j that all imply, row i, column j; an entry is none where nothing
/// bounds the difference. None at all when they contradict each other.
[[nodiscard]] std::optional<std::vector<std::optional<PlainBound>>> closed_bounds(
    std::size_t nodes, const std::vector<PlainBound>& bounds);

}  // namespace plumbmark::test
