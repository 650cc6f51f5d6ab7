#include "review/internal/repeat_job.h"

#include "media/file_content.h"

namespace plumbmark::review {
namespace {

constexpr double kTold = 0.01;  // of the way, between two wake-ups

}  // namespace

RepeatJob::RepeatJob(std::filesystem::path clip, std::shared_ptr<const media::FrameTable> table,
                     std::filesystem::path cache_folder, std::function<bool()> busy,
                     std::function<void()> wake)
    : clip_(std::move(clip)),
      table_(std::move(table)),
      cache_folder_(std::move(cache_folder)),
      busy_(std::move(busy)),
      wake_(std::move(wake)),
      thread_([this](std::stop_token stop) { work(std::move(stop)); }) {}

RepeatJob::~RepeatJob() = default;

std::optional<RepeatsFound> RepeatJob::take() {
    const std::lock_guard lock(mutex_);
    std::optional<RepeatsFound> found = std::move(found_);
    found_.reset();
    return found;
}

void RepeatJob::work(std::stop_token stop) {
    media::work_behind_all_others();
    RepeatsFound found = look(stop);
    if (stop.stop_requested()) return;
    {
        const std::lock_guard lock(mutex_);
        found_ = std::move(found);
    }
    if (wake_) wake_();
}

RepeatsFound RepeatJob::look(const std::stop_token& stop) {
    // The key is made before the pass, so that what the file held before is not kept for what it holds after.
    media::ScanOptions scanned;
    scanned.stream = table_->info().stream;
    scanned.stop = stop;
    const auto key = media::table_key(clip_, scanned, cache_folder_);
    if (key) {
        if (auto kept = media::recall_repeated_pictures(*key)) return std::move(*kept);
    }
    media::RepeatOptions options;
    options.stop = stop;
    options.busy = busy_;
    double told = 0;
    options.progress = [&](double share) {
        progress_.store(share, std::memory_order_relaxed);
        if (share - told < kTold || !wake_) return;
        told = share;
        wake_();
    };
    RepeatsFound found = media::find_repeated_pictures(clip_, table_, options);
    if (found && key) media::keep_repeated_pictures(*key, *found);
    return found;
}

}  // namespace plumbmark::review
