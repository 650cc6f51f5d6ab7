#include "review/placing_job.h"

#include <utility>

#include "base/catalogue.h"

namespace plumbmark::review {

PlacingJob::PlacingJob(std::vector<sight::PlacingPlan> plans, std::optional<sight::FloorPlace> first,
                       std::function<void()> wake)
    : plans_(std::move(plans)),
      first_(first),
      wake_(std::move(wake)),
      thread_([this](const std::stop_token& stop) { work(stop); }) {}

PlacingJob::~PlacingJob() = default;

void PlacingJob::work(const std::stop_token& stop) {
    const base::Speaking in_the_windows_language;  // why there is no map, which is shown
    double all = 0, before = 0;
    for (const sight::PlacingPlan& plan : plans_)
        all += static_cast<double>(plan.floor.count());
    for (const sight::PlacingPlan& plan : plans_) {
        const auto cells = static_cast<double>(plan.floor.count());
        const auto progress = [&](double share) {
            progress_.store((before + share * cells) / all, std::memory_order_relaxed);
            if (wake_) wake_();
        };
        auto map =
            first_ ? sight::pair_map(plan, *first_, progress, stop) : sight::worth_map(plan, progress, stop);
        before += cells;
        const bool failed = !map;
        {
            const std::lock_guard lock(mutex_);
            answer_.emplace(failed ? Answer(map.error())
                                   : Answer(std::make_shared<const sight::PlacingMap>(std::move(*map))));
            if (failed || &plan == &plans_.back()) done_.store(true, std::memory_order_release);
        }
        if (wake_) wake_();
        if (failed) return;
    }
}

std::optional<PlacingJob::Answer> PlacingJob::take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(answer_, std::nullopt);
}

}  // namespace plumbmark::review
