// Asks in the background what another course book would change.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>

#include "review/what_if.h"

namespace plumbmark::review {

/// Threads: made, asked and destroyed by one owner; the work has a thread of its own, which calls 'wake' now
/// and then and when it is done. The destructor stops it, which takes a moment within a ruling.
class WhatIfJob {
  public:
    /// The meet as it is now is what is asked about; later marks do not count.
    WhatIfJob(std::filesystem::path meet_folder, meet::State state, WhatIf change,
              std::function<void()> wake);
    ~WhatIfJob();
    WhatIfJob(const WhatIfJob&) = delete;
    WhatIfJob& operator=(const WhatIfJob&) = delete;

    [[nodiscard]] double progress() const { return progress_.load(std::memory_order_relaxed); }
    /// The answer, once: error cancelled where the job was stopped.
    [[nodiscard]] std::optional<base::Result<report::WhatIfDocument>> take();

  private:
    void work(const std::stop_token& stop);
    [[nodiscard]] base::Result<report::WhatIfDocument> asked(const std::stop_token& stop);
    void note(double share);

    const std::filesystem::path meet_folder_;
    const meet::State state_;
    const WhatIf change_;
    const std::function<void()> wake_;
    std::atomic<double> progress_{0};
    std::mutex mutex_;
    std::optional<base::Result<report::WhatIfDocument>> answer_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
