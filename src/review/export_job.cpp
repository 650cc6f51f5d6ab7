#include "review/export_job.h"

#include <utility>

#include "media/new_file.h"

namespace plumbmark::review {

ExportJob::ExportJob(ExportWork work, std::function<void()> wake)
    : out_(work.wish.out), wake_(std::move(wake)) {
    thread_ = std::jthread([this, kept = std::move(work)](const std::stop_token& stop) {
        run([&kept](const auto& progress,
                    const auto& stopped) { return carry_out_export(kept, progress, stopped); },
            stop);
    });
}

ExportJob::ExportJob(std::filesystem::path out, Make make, std::string kind, std::string words,
                     std::function<void()> wake)
    : out_(std::move(out)), wake_(std::move(wake)) {
    thread_ = std::jthread([this, make = std::move(make), kind = std::move(kind),
                            words = std::move(words)](const std::stop_token& stop) {
        run(
            [&](const auto& progress, const auto& stopped) -> base::Result<Exported> {
                const auto bytes = make(progress, stopped);
                if (!bytes) return bytes.error();
                if (auto written = media::write_new_file(out_, bytes->data(), bytes->size()); !written)
                    return written.error();
                Exported done;
                done.file = out_;
                done.kind = kind;
                done.words = words;
                return done;
            },
            stop);
    });
}

ExportJob::~ExportJob() = default;

void ExportJob::run(const Work& work, const std::stop_token& stop) {
    base::Result<Exported> answer = work(
        [this](double share) {
            progress_.store(share, std::memory_order_relaxed);
            if (wake_) wake_();
        },
        stop);
    {
        const std::lock_guard lock(mutex_);
        answer_ = std::move(answer);
    }
    if (wake_) wake_();
}

std::optional<base::Result<Exported>> ExportJob::take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(answer_, std::nullopt);
}

}  // namespace plumbmark::review
