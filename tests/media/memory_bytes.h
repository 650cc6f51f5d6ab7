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

    std::atomic<bool> stalls{false};          // reads wait until this is over or they are stopped
    std::atomic<bool> opening_stalls{false};  // the same for opening and looking
    std::atomic<int> waiting{0};              // what waits now
    std::atomic<int> opened{0};
    std::atomic<std::int64_t> reads{0};
};

/// Waits while 'stalls' is set; false when it was stopped.
inline bool wait_out(MemoryFile& file, const std::atomic<bool>& stalls, const std::stop_token& stop) {
    if (!stalls) return !stop.stop_requested();
    ++file.waiting;
    while (stalls && !stop.stop_requested())
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    --file.waiting;
    return !stop.stop_requested();
}

inline base::Error stopped_error() {
    return {base::Category::cancelled, "Stopped.", "memory"};
}

class MemoryBytes final : public ClipBytes {
  public:
    explicit MemoryBytes(std::shared_ptr<MemoryFile> file) : file_(std::move(file)), mark_(now()) {}

    base::Result<std::size_t> read(std::int64_t offset, std::span<std::uint8_t> into,
                                   const std::stop_token& stop) override {
        ++file_->reads;
        if (!wait_out(*file_, file_->stalls, stop)) return stopped_error();
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

    [[nodiscard]] base::Result<ByteMark> look(const std::stop_token& stop) const override {
        if (!wait_out(*file_, file_->opening_stalls, stop)) return stopped_error();
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
    return [self](const std::filesystem::path&,
                  const std::stop_token& stop) -> base::Result<std::unique_ptr<ClipBytes>> {
        if (!wait_out(*self, self->opening_stalls, stop)) return stopped_error();
        {
            const std::lock_guard lock(self->mutex);
            if (self->gone) return base::Error{base::Category::not_found, "It is gone.", "memory"};
        }
        ++self->opened;
        return std::unique_ptr<ClipBytes>(std::make_unique<MemoryBytes>(self));
    };
}

}  // namespace plumbmark::media::test
