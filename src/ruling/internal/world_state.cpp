#include "ruling/internal/world_state.h"

namespace plumbmark::ruling {

std::size_t hash_value(const Progress& progress) {
    std::size_t h = 1469598103934665603ULL;
    const auto mix = [&h](std::uint64_t v) { h = (h ^ v) * 1099511628211ULL + (h >> 29U); };
    mix(static_cast<std::uint64_t>(progress.phase) | std::uint64_t{progress.at} << 8U |
        std::uint64_t{progress.running} << 16U | std::uint64_t{progress.attempts} << 24U |
        std::uint64_t{progress.started} << 32U | std::uint64_t{progress.set_off} << 33U |
        std::uint64_t{progress.holding} << 34U | std::uint64_t{progress.item_touched} << 35U |
        std::uint64_t{progress.clear_of_start} << 36U | std::uint64_t{progress.touched_unbegun} << 37U |
        std::uint64_t{progress.retrying} << 38U | std::uint64_t{progress.finished} << 39U |
        std::uint64_t{progress.false_started} << 40U);
    mix(std::uint64_t{progress.stood} | std::uint64_t{progress.crossed} << 32U);
    mix(progress.touched ^ static_cast<std::uint64_t>(progress.credit) << 32U);
    mix(progress.left);
    mix(std::uint64_t{progress.cleared} | static_cast<std::uint64_t>(progress.points) << 8U);
    return h;
}

}  // namespace plumbmark::ruling
