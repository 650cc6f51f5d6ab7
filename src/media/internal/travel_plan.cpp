#include "media/internal/travel_plan.h"

#include <algorithm>

namespace plumbmark::media {
namespace {

std::optional<std::int64_t> gap_from(const PictureStore::Shelf& shelf, std::int64_t frame, int step,
                                     std::int64_t end, const std::set<std::int64_t>& hopeless) {
    auto gap = shelf.first_gap(frame, step, end);
    while (gap && hopeless.contains(*gap))
        gap = shelf.first_gap(*gap + step, step, end);
    return gap;
}

std::optional<Stretch> ahead_of(const FrameTable& table, const PictureStore::Shelf& shelf,
                                const Travel& travel, std::int64_t reach,
                                const std::set<std::int64_t>& hopeless) {
    const std::int64_t end = std::min(travel.hand + reach, table.size() - 1);
    const auto gap = gap_from(shelf, travel.hand + 1, 1, end, hopeless);
    if (!gap) return std::nullopt;
    const bool plenty = *gap - travel.hand > reach / 2;
    if (plenty && !travel.lies_ahead(*gap)) return std::nullopt;
    return Stretch{*gap, end};
}

std::optional<Stretch> behind(const FrameTable& table, const PictureStore::Shelf& shelf, const Travel& travel,
                              std::int64_t reach, const std::set<std::int64_t>& hopeless) {
    const std::int64_t end = std::max<std::int64_t>(travel.hand - reach, 0);
    const auto gap = gap_from(shelf, travel.hand - 1, -1, end, hopeless);
    if (!gap) return std::nullopt;
    if (travel.hand - 1 - *gap > reach / 2) return std::nullopt;
    return Stretch{std::max(table.group_start(*gap), end), *gap};
}

}  // namespace

std::optional<Stretch> next_stretch(const FrameTable& table, const PictureStore::Shelf& shelf,
                                    const Travel& travel, const std::set<std::int64_t>& hopeless) {
    if (travel.most_ahead <= 0) return std::nullopt;
    const std::int64_t capacity = shelf.capacity();
    constexpr std::int64_t after_a_jump = 12;  // enough for the first steps, and soon done
    if (travel.direction >= 0) {
        const std::int64_t wanted = travel.direction > 0 ? travel.most_ahead : after_a_jump;
        const auto found =
            ahead_of(table, shelf, travel, std::min({wanted, travel.most_ahead, capacity / 2}), hopeless);
        if (found || travel.direction > 0) return found;
    }
    // Most of the room lies behind; the rest is for the way back and for what the hand just left.
    return behind(table, shelf, travel, capacity * 3 / 4, hopeless);
}

}  // namespace plumbmark::media
