// The stretch of a clip's sound that is being played: written by one thread, read by the device's.
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <memory>

namespace plumbmark::media {

/// Stereo frames by their place on the clip's clock, counted at the device's rate. One writer, one reader, no
/// lock: the reader may meet frames that are just being replaced, which is heard as a click at worst.
class SoundWindow {
  public:
    explicit SoundWindow(std::int64_t frames)
        : size_(frames),
          samples_(std::make_unique<std::atomic<float>[]>(static_cast<std::size_t>(2 * frames))) {}

    // --- the writer's ---
    /// Empty, to be filled from this place on.
    void restart(std::int64_t place) {
        begin_.store(INT64_MAX, std::memory_order_release);  // the reader finds nothing meanwhile
        end_.store(place, std::memory_order_release);
        begin_.store(place, std::memory_order_release);
    }
    void append(float left, float right) {
        const std::int64_t at = end_.load(std::memory_order_relaxed);
        if (at - begin_.load(std::memory_order_relaxed) >= size_)
            begin_.store(at - size_ + 1, std::memory_order_release);
        const std::size_t slot = place(at);
        samples_[slot].store(left, std::memory_order_relaxed);
        samples_[slot + 1].store(right, std::memory_order_relaxed);
        end_.store(at + 1, std::memory_order_release);
    }

    // --- anybody's ---
    [[nodiscard]] std::int64_t begin() const { return begin_.load(std::memory_order_acquire); }
    [[nodiscard]] std::int64_t end() const { return end_.load(std::memory_order_acquire); }
    [[nodiscard]] std::int64_t size() const { return size_; }

    // --- the reader's ---
    /// The pair at a place; silence outside what is there.
    [[nodiscard]] std::array<float, 2> at(std::int64_t frame) const {
        if (frame < begin() || frame >= end()) return {0, 0};
        const std::size_t slot = place(frame);
        return {samples_[slot].load(std::memory_order_relaxed),
                samples_[slot + 1].load(std::memory_order_relaxed)};
    }

  private:
    [[nodiscard]] std::size_t place(std::int64_t frame) const {
        return static_cast<std::size_t>(((frame % size_) + size_) % size_) * 2;
    }

    const std::int64_t size_;
    std::unique_ptr<std::atomic<float>[]> samples_;
    std::atomic<std::int64_t> begin_{0}, end_{0};
};

}  // namespace plumbmark::media
