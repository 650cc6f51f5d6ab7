// What a thread that looks at something now and then shares with the one who asks for what it found.
#pragma once

#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>

namespace plumbmark::review {

/// Kept by both, since the thread may hang in a look at a drive that is gone: whoever asks ends it and does
/// not wait. wait() and take() are for the thread, the others for its owner.
template <class Found>
class Lookout {
  public:
    /// 'wake' is called from the thread when found() changes, never after end() began.
    Lookout(std::function<void()> wake, std::chrono::milliseconds between)
        : between_(between), wake_(std::move(wake)) {}

    /// Until the next look; false when nobody asks any more.
    [[nodiscard]] bool wait() {
        std::unique_lock lock(mutex_);
        return !news_.wait_for(lock, between_, [&] { return over_; });
    }
    void take(Found found) {
        const std::lock_guard lock(mutex_);
        if (over_ || found == found_) return;
        found_ = std::move(found);
        if (wake_) wake_();
    }
    [[nodiscard]] Found found() const {
        const std::lock_guard lock(mutex_);
        return found_;
    }
    void end() {
        {
            const std::lock_guard lock(mutex_);
            over_ = true;
        }
        news_.notify_all();
    }

  private:
    const std::chrono::milliseconds between_;
    mutable std::mutex mutex_;
    std::condition_variable news_;
    // Guarded by mutex_:
    std::function<void()> wake_;
    Found found_{};
    bool over_ = false;
};

}  // namespace plumbmark::review
