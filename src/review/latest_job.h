// Works something out in the background: the newest question wins, and an answer says which one it is of.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <mutex>
#include <optional>
#include <stop_token>
#include <thread>
#include <utility>

namespace plumbmark::review {

/// Threads: made, asked and destroyed by one owner; the work has a thread of its own, which calls 'wake'
/// after each answer. What is being worked out when a newer question comes, or at the end, is told to stop
/// and gives no answer.
template <class Answer>
class LatestJob {
  public:
    /// Must look at 'stopped' now and then; what it returns then is thrown away.
    using Work = std::function<Answer(const std::function<bool()>& stopped)>;

    explicit LatestJob(std::function<void()> wake) : wake_(std::move(wake)) {}
    ~LatestJob() {
        {
            const std::lock_guard lock(mutex_);
            ++newest_;
            wanted_.reset();
        }
        thread_.request_stop();
        asked_.notify_all();
    }
    LatestJob(const LatestJob&) = delete;
    LatestJob& operator=(const LatestJob&) = delete;

    /// 'number' comes back with the answer.
    void ask(std::uint64_t number, Work work) {
        const std::lock_guard lock(mutex_);
        ++newest_;
        wanted_ = std::pair(number, std::move(work));
        if (!thread_.joinable()) thread_ = std::jthread([this](const std::stop_token& stop) { run(stop); });
        asked_.notify_all();
    }
    /// The newest answer, once.
    [[nodiscard]] std::optional<std::pair<std::uint64_t, Answer>> take() {
        const std::lock_guard lock(mutex_);
        return std::exchange(answer_, std::nullopt);
    }

  private:
    void run(const std::stop_token& stop) {
        std::unique_lock lock(mutex_);
        while (asked_.wait(lock, stop, [&] { return wanted_.has_value(); })) {
            auto [number, work] = *std::exchange(wanted_, std::nullopt);
            const std::uint64_t at = newest_;
            lock.unlock();
            Answer answer = work([&] {
                const std::lock_guard looked(mutex_);
                return newest_ != at;
            });
            lock.lock();
            if (newest_ != at) continue;
            answer_.emplace(number, std::move(answer));
            lock.unlock();
            if (wake_) wake_();
            lock.lock();
        }
    }

    std::function<void()> wake_;
    std::mutex mutex_;
    std::condition_variable_any asked_;
    std::uint64_t newest_ = 0;                                // guarded by mutex_
    std::optional<std::pair<std::uint64_t, Work>> wanted_;    // guarded by mutex_
    std::optional<std::pair<std::uint64_t, Answer>> answer_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
