#include "review/internal/frame_set.h"

#include <algorithm>

namespace plumbmark::review {

void FrameSet::add(std::int64_t frame) {
    auto next = last_by_first_.upper_bound(frame);
    std::int64_t first = frame;
    std::int64_t last = frame;
    if (next != last_by_first_.begin()) {
        const auto previous = std::prev(next);
        if (previous->second >= frame) return;
        if (previous->second == frame - 1) {
            first = previous->first;
            last_by_first_.erase(previous);
        }
    }
    if (next != last_by_first_.end() && next->first == frame + 1) {
        last = next->second;
        last_by_first_.erase(next);
    }
    last_by_first_[first] = last;
}

std::int64_t FrameSet::missing(std::int64_t first, std::int64_t last) const {
    std::int64_t count = std::max<std::int64_t>(0, last - first + 1);
    for (const auto& [from, to] : last_by_first_) {
        count -= std::max<std::int64_t>(0, std::min(to, last) - std::max(from, first) + 1);
    }
    return count;
}

std::vector<std::array<std::int64_t, 2>> FrameSet::stretches() const {
    std::vector<std::array<std::int64_t, 2>> all;
    for (const auto& [from, to] : last_by_first_)
        all.push_back({from, to});
    return all;
}

}  // namespace plumbmark::review
