#include "review/internal/content_job.h"

#include <algorithm>
#include <utility>

namespace plumbmark::review {
namespace {

constexpr double kTold = 0.01;  // of the way, between two wake-ups

}  // namespace

ContentJob::ContentJob(std::function<void()> wake, std::shared_ptr<const HandMovement> hand)
    : wake_(std::move(wake)), hand_(std::move(hand)) {}

ContentJob::~ContentJob() {
    thread_.request_stop();
    const std::lock_guard lock(mutex_);
    for (Question& question : questions_)
        question.stop.request_stop();
}

void ContentJob::ask(meet::ClipId clip, std::filesystem::path file,
                     std::optional<std::int64_t> unless_changed_at) {
    {
        const std::lock_guard lock(mutex_);
        questions_.push_back({clip, std::move(file), unless_changed_at, {}});
    }
    if (!thread_.joinable()) thread_ = std::jthread([this](const std::stop_token& stop) { work(stop); });
    news_.notify_all();
}

void ContentJob::forget(meet::ClipId clip) {
    const std::lock_guard lock(mutex_);
    std::erase_if(found_, [&](const ContentFound& one) { return one.clip == clip; });
    for (Question& question : questions_) {
        if (question.clip == clip) question.stop.request_stop();
    }
}

void ContentJob::hold(bool others_read) {
    held_.store(others_read, std::memory_order_relaxed);
}

bool ContentJob::busy() const {
    return held_.load(std::memory_order_relaxed) || hand_->recent();
}

double ContentJob::progress(meet::ClipId clip) const {
    return reading_.load() == clip.value ? share_.load() : -1;
}

std::vector<ContentFound> ContentJob::take() {
    const std::unique_lock lock(mutex_, std::try_to_lock);
    return lock ? std::exchange(found_, {}) : std::vector<ContentFound>{};
}

std::optional<ContentJob::Question> ContentJob::next(const std::stop_token& stop) {
    std::unique_lock lock(mutex_);
    if (!news_.wait(lock, stop, [&] { return !questions_.empty(); })) return std::nullopt;
    share_ = 0;
    reading_ = questions_.front().clip.value;
    return questions_.front();
}

void ContentJob::work(const std::stop_token& stop) {
    media::work_behind_all_others();
    while (const auto question = next(stop)) {
        auto content = read(*question);
        {
            const std::lock_guard lock(mutex_);
            questions_.pop_front();
            reading_ = -1;
            const bool wanted = !question->stop.stop_requested();
            if (wanted) found_.push_back({question->clip, std::move(content)});
        }
        if (wake_ && !stop.stop_requested()) wake_();
    }
}

base::Result<std::optional<media::FileContent>> ContentJob::read(const Question& question) {
    media::ContentOptions options;
    options.stop = question.stop.get_token();
    options.unless_changed_at = question.unless_changed_at;
    options.busy = [this] { return busy(); };
    options.progress = [this](double share) { tell(share); };
    return media::file_content(question.file, options);
}

void ContentJob::tell(double share) {
    if (share - share_.load() < kTold) return;
    share_ = share;
    if (wake_) wake_();
}

}  // namespace plumbmark::review
