#include "review/internal/ruling_job.h"

#include "base/catalogue.h"

namespace plumbmark::review {

RulingJob::RulingJob(std::function<void()> wake) : wake_(std::move(wake)), thread_([this] { work(); }) {}

RulingJob::~RulingJob() {
    {
        const std::lock_guard lock(mutex_);
        ending_ = true;
        stop_ = true;
    }
    wanted_.notify_one();
    thread_.join();
}

void RulingJob::ask(RulingQuestion question) {
    {
        const std::lock_guard lock(mutex_);
        question_ = std::move(question);
        stop_ = true;
    }
    wanted_.notify_one();
}

std::optional<RulingAnswer> RulingJob::take() {
    const std::lock_guard lock(mutex_);
    std::optional<RulingAnswer> answer = std::move(answer_);
    answer_.reset();
    return answer;
}

void RulingJob::work() {
    ruling::Settings settings;
    settings.stopped = [this] { return stop_.load(std::memory_order_relaxed); };
    while (true) {
        RulingQuestion question;
        {
            std::unique_lock lock(mutex_);
            wanted_.wait(lock, [this] { return ending_ || question_.has_value(); });
            if (ending_) return;
            question = std::move(*question_);
            question_.reset();
            stop_ = false;
        }
        RulingAnswer answer{question.number, question.evidence, nullptr, std::nullopt};
        // In the language that is the window's by now; whoever changes it asks again.
        const base::Speaking in_the_windows_language;
        base::Result<ruling::RunRuling> ruled =
            ruling::rule_run(*question.book, *question.evidence, settings);
        if (!ruled && ruled.error().category == base::Category::cancelled) continue;
        if (ruled) {
            answer.ruling = std::make_shared<const ruling::RunRuling>(std::move(*ruled));
        } else {
            answer.error = ruled.error();
        }
        {
            const std::lock_guard lock(mutex_);
            answer_ = std::move(answer);
        }
        if (wake_) wake_();
    }
}

}  // namespace plumbmark::review
