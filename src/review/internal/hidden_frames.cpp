#include "review/internal/hidden_frames.h"

#include <algorithm>

#include "base/worded.h"

namespace plumbmark::review {
namespace {

/// A search takes seconds. Between two frames that are searched lie at most 50 ms, in which somebody who runs
/// (5 m/s) gets on by a head's length, and at most five frames.
constexpr std::int64_t kStride = 6;
constexpr base::Duration kStrideTime{50'000'000};
/// What was found is hidden so far before and after: at least one searched frame on either side counts.
constexpr base::Duration kNearTime{100'000'000};

}  // namespace

HiddenFrames::HiddenFrames(const meet::State& state, meet::ClipId clip, media::FrameReader reader,
                           const media::FrameTable& table, std::array<std::int64_t, 2> stretch,
                           std::stop_token stop)
    : clip_(clip), reader_(std::move(reader)), table_(table), stop_(stop), hider_(state, std::move(stop)) {
    reader_.set_stop(stop_);
    const auto [first, last] = stretch;
    for (std::int64_t n = first; n <= last;) {
        searched_.push_back(n);
        std::int64_t after = n + 1;
        while (after < last && after + 1 - n <= kStride &&
               table_.time(after + 1) - table_.time(n) <= kStrideTime)
            ++after;
        n = after;
    }
}

bool HiddenFrames::near(std::int64_t a, std::int64_t b) const {
    const auto [low, high] = std::minmax(a, b);
    return high - low < kStride || table_.time(high) - table_.time(low) <= kNearTime;
}

base::Result<media::RgbaImage> HiddenFrames::read(std::int64_t n) {
    if (stop_.stop_requested())
        return base::Error{base::Category::cancelled, base::worded("Reading the clip was stopped."), ""};
    auto picture = reader_.read(n);
    if (!picture) return picture.error();
    media::RgbaImage image = media::to_rgba(**picture);
    if (image.pixels.empty())
        return base::Error{base::Category::unsupported,
                           base::worded("The picture's format cannot be brought to colours here."), ""};
    return image;
}

base::Result<void> HiddenFrames::search_up_to(std::int64_t n) {
    for (; next_ < searched_.size() && (searched_[next_] <= n || near(searched_[next_], n)); ++next_) {
        const std::int64_t at = searched_[next_];
        auto image = read(at);
        // Nothing is given out of a frame that does not decode.
        if (!image && image.error().category == base::Category::damaged) continue;
        if (!image) return image.error();
        auto faces = hider_.look_for(clip_, {&*image, at});
        if (!faces) return faces.error();
        if (!faces->empty()) found_[at] = std::move(*faces);
    }
    return {};
}

base::Result<media::RgbaImage> HiddenFrames::frame(std::int64_t n) {
    if (auto searched = search_up_to(n); !searched) return searched.error();
    auto image = read(n);
    if (!image) return image;
    std::vector<sight::Box> places;
    for (auto at = found_.begin(); at != found_.end();) {
        const bool here = near(at->first, n);
        if (here) places.insert(places.end(), at->second.begin(), at->second.end());
        at = !here && at->first < n ? found_.erase(at) : std::next(at);
    }
    hider_.hide_places(clip_, {&*image, n}, places);
    return image;
}

}  // namespace plumbmark::review
