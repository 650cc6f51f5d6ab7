#include "review/what_if_job.h"

#include <utility>

#include "base/catalogue.h"

namespace plumbmark::review {

namespace {

/// Reading the clips is the lesser part; kept tables are there at once.
constexpr double kReadingShare = 0.1;

}  // namespace

WhatIfJob::WhatIfJob(std::filesystem::path meet_folder, meet::State state, WhatIf change,
                     std::function<void()> wake)
    : meet_folder_(std::move(meet_folder)),
      state_(std::move(state)),
      change_(std::move(change)),
      wake_(std::move(wake)),
      thread_([this](const std::stop_token& stop) { work(stop); }) {}

WhatIfJob::~WhatIfJob() = default;

void WhatIfJob::note(double share) {
    progress_.store(share, std::memory_order_relaxed);
    if (wake_) wake_();
}

base::Result<report::WhatIfDocument> WhatIfJob::asked(const std::stop_token& stop) {
    base::Result<FrameTables> tables = frame_tables(meet_folder_, state_, std::nullopt, stop,
                                                    [&](double share) { note(share * kReadingShare); });
    if (!tables) return tables.error();
    WhatIfOptions options;
    options.stopped = [stop] { return stop.stop_requested(); };
    options.progress = [&](double share) { note(kReadingShare + share * (1 - kReadingShare)); };
    return what_if(state_, change_, table_from(*tables), options);
}

void WhatIfJob::work(const std::stop_token& stop) {
    const base::Speaking in_the_windows_language;  // the reasons, which are shown
    base::Result<report::WhatIfDocument> answer = asked(stop);
    {
        const std::lock_guard lock(mutex_);
        answer_ = std::move(answer);
    }
    if (wake_) wake_();
}

std::optional<base::Result<report::WhatIfDocument>> WhatIfJob::take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(answer_, std::nullopt);
}

}  // namespace plumbmark::review
