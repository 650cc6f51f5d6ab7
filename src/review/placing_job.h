// Works out in the background where to put a camera: first roughly, then finer.
#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "sight/placing.h"

namespace plumbmark::review {

/// Threads: made, asked and destroyed by one owner; the work has a thread of its own, which calls 'wake' now
/// and then, and when there is a map. The destructor stops it, which takes as long as a cell: some hundredths
/// of a second.
class PlacingJob {
  public:
    using Answer = base::Result<std::shared_ptr<const sight::PlacingMap>>;

    /// One map after the other: the same plan on coarser floors first. 'first': each map is of a second
    /// camera to one there.
    PlacingJob(std::vector<sight::PlacingPlan> plans, std::optional<sight::FloorPlace> first,
               std::function<void()> wake);
    ~PlacingJob();
    PlacingJob(const PlacingJob&) = delete;
    PlacingJob& operator=(const PlacingJob&) = delete;

    /// Of all maps together, 0 to 1.
    [[nodiscard]] double progress() const { return progress_.load(std::memory_order_relaxed); }
    /// The newest map, once; or an error, after which none comes.
    [[nodiscard]] std::optional<Answer> take();
    /// Nothing comes any more but what take() may still give.
    [[nodiscard]] bool done() const { return done_.load(std::memory_order_acquire); }

  private:
    void work(const std::stop_token& stop);

    const std::vector<sight::PlacingPlan> plans_;
    const std::optional<sight::FloorPlace> first_;
    const std::function<void()> wake_;
    std::atomic<double> progress_{0};
    std::atomic<bool> done_{false};
    std::mutex mutex_;
    std::optional<Answer> answer_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
