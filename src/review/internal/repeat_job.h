// Looks through one clip for repeated pictures, behind all other work.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "media/repeated_pictures.h"

namespace plumbmark::review {

using RepeatsFound = base::Result<std::vector<media::RepeatedStretch>>;

/// Threads: made, asked and destroyed by one owner; the work has a thread of its own at the lowest priority,
/// which calls 'wake' when it is done and now and then before. What an earlier opening found is taken from
/// the cache folder (empty: nowhere). 'busy' is asked on that thread. The destructor stops the work, within
/// one packet's decoding.
class RepeatJob {
  public:
    RepeatJob(std::filesystem::path clip, std::shared_ptr<const media::FrameTable> table,
              std::filesystem::path cache_folder, std::function<bool()> busy, std::function<void()> wake);
    ~RepeatJob();
    RepeatJob(const RepeatJob&) = delete;
    RepeatJob& operator=(const RepeatJob&) = delete;

    [[nodiscard]] double progress() const { return progress_.load(std::memory_order_relaxed); }
    /// The result, once.
    [[nodiscard]] std::optional<RepeatsFound> take();

  private:
    void work(std::stop_token stop);
    [[nodiscard]] RepeatsFound look(const std::stop_token& stop);

    const std::filesystem::path clip_;
    const std::shared_ptr<const media::FrameTable> table_;
    const std::filesystem::path cache_folder_;
    const std::function<bool()> busy_;
    const std::function<void()> wake_;
    std::atomic<double> progress_{0};
    std::mutex mutex_;
    std::optional<RepeatsFound> found_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
