#include "desk/internal/picture_maker.h"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <utility>

#include "media/half_size.h"

namespace plumbmark::desk {
namespace {

// The mean of four bytes, in each half of a word at once: rounded to nearest.
std::uint32_t mean(std::uint32_t a, std::uint32_t b, std::uint32_t c, std::uint32_t d) {
    constexpr std::uint32_t even = 0x00FF00FF, half = 0x00020002;
    const std::uint32_t low = (a & even) + (b & even) + (c & even) + (d & even) + half;
    const std::uint32_t high = (a >> 8 & even) + (b >> 8 & even) + (c >> 8 & even) + (d >> 8 & even) + half;
    return (low >> 2 & even) | (high >> 2 & even) << 8;
}

void halve(const std::uint8_t* from, int width, int height, std::uint8_t* to) {
    const auto pixel = [](const std::uint8_t* row, int x) {
        std::uint32_t value;
        std::memcpy(&value, row + static_cast<std::ptrdiff_t>(4) * x, 4);
        return value;
    };
    const int half_width = std::max(1, width / 2), half_height = std::max(1, height / 2);
    const int right = width > 1 ? 1 : 0;
    const std::ptrdiff_t line = static_cast<std::ptrdiff_t>(4) * width;
    for (int y = 0; y < half_height; ++y) {
        const std::uint8_t* row = from + 2 * y * line;
        const std::uint8_t* below = height > 1 ? row + line : row;
        for (int x = 0; x < half_width; ++x) {
            const std::uint32_t value = mean(pixel(row, 2 * x), pixel(row, 2 * x + right),
                                             pixel(below, 2 * x), pixel(below, 2 * x + right));
            std::memcpy(to + static_cast<std::ptrdiff_t>(4) * x, &value, 4);
        }
        to += static_cast<std::ptrdiff_t>(4) * half_width;
    }
}

}  // namespace

void make_smaller_levels(const media::RgbaImage& image, std::vector<std::uint8_t>& into) {
    std::size_t bytes = 0;
    int width = image.width, height = image.height;
    const auto each_level = [&](const auto& work) {
        width = image.width, height = image.height;
        for (int level = 1; level <= kSmallerLevels && (width > 1 || height > 1); ++level) {
            const int before[] = {width, height};
            width = std::max(1, width / 2);
            height = std::max(1, height / 2);
            work(before[0], before[1],
                 4 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
        }
    };
    each_level([&](int, int, std::size_t size) { bytes += size; });
    into.resize(bytes);
    const std::uint8_t* from = image.pixels.data();
    std::uint8_t* to = into.data();
    each_level([&](int from_width, int from_height, std::size_t size) {
        halve(from, from_width, from_height, to);
        from = to;
        to += size;
    });
}

PictureMaker::PictureMaker(std::function<void()> wake)
    : wake_(std::move(wake)), worker_([this](const std::stop_token& stop) { work(stop); }) {}

PictureMaker::~PictureMaker() {
    worker_.request_stop();
    news_.notify_all();
    worker_.join();
}

std::unique_ptr<MadeImage> PictureMaker::take(const std::shared_ptr<const media::Picture>& picture,
                                              Fineness fineness) {
    {
        const std::lock_guard lock(mutex_);
        const auto found = std::find_if(orders_.begin(), orders_.end(), [&](const Order& order) {
            return order.picture == picture && order.fineness == fineness;
        });
        if (found == orders_.end()) {
            orders_.push_back({picture, fineness, nullptr, round_, false});
        } else if (found->made) {
            auto made = std::move(found->made);
            orders_.erase(found);
            return made;
        } else {
            found->asked = round_;
            return nullptr;
        }
    }
    news_.notify_all();
    return nullptr;
}

void PictureMaker::give_back(std::unique_ptr<MadeImage> used) {
    const std::lock_guard lock(mutex_);
    spare_ = std::move(used);
}

void PictureMaker::next_round() {
    std::list<Order> left;  // what it holds is freed without the lock
    const std::lock_guard lock(mutex_);
    ++round_;
    for (auto order = orders_.begin(); order != orders_.end();) {
        const auto next = std::next(order);
        if (!order->in_work && order->asked + 2 < round_) left.splice(left.end(), orders_, order);
        order = next;
    }
}

void PictureMaker::work(const std::stop_token& stop) {
    for (;;) {
        std::unique_ptr<MadeImage> room;
        std::list<Order>::iterator order;
        {
            std::unique_lock lock(mutex_);
            const auto waits = [&] {
                order = std::find_if(orders_.begin(), orders_.end(), [](const Order& o) { return !o.made; });
                return order != orders_.end();
            };
            if (!news_.wait(lock, stop, waits)) return;
            order->in_work = true;  // it stays in its place until then
            room = std::move(spare_);
        }
        if (!room) room = std::make_unique<MadeImage>();
        room->smaller.clear();
        room->fineness = order->fineness;
        const bool made = room->fineness == Fineness::half
                              ? media::to_rgba_half(*order->picture, room->image)
                              : media::to_rgba(*order->picture, media::Orientation::upright, room->image);
        if (made) make_smaller_levels(room->image, room->smaller);
        {
            const std::lock_guard lock(mutex_);
            order->made = std::move(room);
            order->in_work = false;
        }
        if (wake_) wake_();
    }
}

}  // namespace plumbmark::desk
