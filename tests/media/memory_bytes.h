// The twin in memory of a clip's file, which can be made to fail, stall, shrink and lie.
#pragma once

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstring>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <utility>

#include "media/clip_bytes.h"

namespace plumbmark::media::test {

/// One file in memory, with its faults. Shared by all that opened it; faults may be set from any thread.
struct MemoryFile {
    explicit MemoryFile(std::string content) : bytes(std::move(content)) {}

    std::mutex mutex;                     // guards what follows, up to the atomics
    std::string bytes;                    // what is there now
    std::int64_t version = 1;             // stands for the time of the last change
    bool gone = false;                    // opening and looking fail; what is open fails
    std::int64_t told_size = -1;          // the size that is told, -1: the true one
    std::int64_t fails_from = INT64_MAX;  // reads that touch bytes from here on fail
    int failures_left = 0;                // so many reads fail, then all is well
    std::size_t most_at_once = SIZE_MAX;  // short reads

    std::atomic<bool> stalls{false};  // reads wait until this is over or they are stopped
    std::atomic<int> waiting{0};      // reads that wait now
    std::atomic<std::int64_t> reads{0};
};

class MemoryBytes final : public ClipBytes {
  public:
    explicit MemoryBytes(std::shared_ptr<MemoryFile> file) : file_(std::move(file)), mark_(now()) {}

    base::Result<std::size_t> read(std::int64_t offset, std::span<std::uint8_t> into,
                                   const std::stop_token& stop) override {
        ++file_->reads;
        if (file_->stalls) {
            ++file_->waiting;
            while (file_->stalls && !stop.stop_requested())
                std::this_thread::sleep_for(std::chrono::milliseconds(1));
            --file_->waiting;
        }
        if (stop.stop_requested()) return base::Error{base::Category::cancelled, "Stopped.", "memory"};
        const std::lock_guard lock(file_->mutex);
        const auto end = offset + static_cast<std::int64_t>(into.size());
        if (file_->gone || end > file_->fails_from || file_->failures_left > 0) {
            file_->failures_left = std::max(0, file_->failures_left - 1);
            return base::Error{base::Category::io, "The drive does not answer.", "memory"};
        }
        const auto size = static_cast<std::int64_t>(file_->bytes.size());
        if (offset >= size) return std::size_t{0};
        const std::size_t got = std::min({into.size(), static_cast<std::size_t>(size - offset),
                                          std::max<std::size_t>(1, file_->most_at_once)});
        std::memcpy(into.data(), file_->bytes.data() + offset, got);
        return got;
    }

    [[nodiscard]] const ByteMark& mark() const override { return mark_; }

    [[nodiscard]] base::Result<ByteMark> look() const override {
        {
            const std::lock_guard lock(file_->mutex);
            if (file_->gone) return base::Error{base::Category::not_found, "It is gone.", "memory"};
        }
        return now();
    }

  private:
    [[nodiscard]] ByteMark now() const {
        const std::lock_guard lock(file_->mutex);
        const auto size = static_cast<std::int64_t>(file_->bytes.size());
        return {file_->told_size >= 0 ? file_->told_size : size, file_->version, 0, 1};
    }

    std::shared_ptr<MemoryFile> file_;
    ByteMark mark_;
};

inline BytesOpener opener_of(const std::shared_ptr<MemoryFile>& self) {
    return [self](const std::filesystem::path&) -> base::Result<std::unique_ptr<ClipBytes>> {
        {
            const std::lock_guard lock(self->mutex);
            if (self->gone) return base::Error{base::Category::not_found, "It is gone.", "memory"};
        }
        return std::unique_ptr<ClipBytes>(std::make_unique<MemoryBytes>(self));
    };
}

}  // namespace plumbmark::media::test
