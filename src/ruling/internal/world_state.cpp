#include "ruling/internal/world_state.h"

namespace plumbmark::ruling {

std::size_t hash_value(const WorldState& world) {
    std::size_t h = 1469598103934665603ULL;
    const auto mix = [&h](std::uint64_t v) { h = (h ^ v) * 1099511628211ULL + (h >> 29U); };
    mix(static_cast<std::uint64_t>(world.phase) | std::uint64_t{world.at} << 8U |
        std::uint64_t{world.running} << 16U | std::uint64_t{world.attempts} << 24U |
        std::uint64_t{world.started} << 32U | std::uint64_t{world.set_off} << 33U |
        std::uint64_t{world.holding} << 34U | std::uint64_t{world.item_touched} << 35U |
        std::uint64_t{world.clear_of_start} << 36U | std::uint64_t{world.touched_unbegun} << 37U |
        std::uint64_t{world.retrying} << 38U | std::uint64_t{world.finished} << 39U |
        std::uint64_t{world.false_started} << 40U);
    mix(std::uint64_t{world.stood} | std::uint64_t{world.crossed} << 32U);
    mix(world.touched ^ static_cast<std::uint64_t>(world.credit) << 32U);
    mix(world.left);
    mix(std::uint64_t{world.cleared} | static_cast<std::uint64_t>(world.points) << 8U);
    mix(std::hash<PairBits>{}(world.on));
    mix(std::hash<PairBits>{}(world.on_known));
    mix(std::hash<SideBits>{}(world.past));
    mix(std::hash<SideBits>{}(world.past_known));
    return h;
}

}  // namespace plumbmark::ruling
