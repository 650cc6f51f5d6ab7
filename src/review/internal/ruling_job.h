// Rules in the background: the newest evidence wins, older questions that were not begun are dropped.
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>

#include "base/result.h"
#include "ruling/ruling.h"

namespace plumbmark::review {

/// One question to the engine.
struct RulingQuestion {
    std::uint64_t number = 0;
    std::shared_ptr<const course::CourseBook> book;
    std::shared_ptr<const ruling::Evidence> evidence;
};

struct RulingAnswer {
    std::uint64_t number = 0;
    std::shared_ptr<const ruling::Evidence> evidence;
    std::shared_ptr<const ruling::RunRuling> ruling;  ///< none when 'error' says why
    std::optional<base::Error> error;
};

/// The answer's sentences are in English and in the language that is chosen when the engine begins
/// (base/catalogue.h); after another choice the same question is asked again.
///
/// Threads: ask() and take() from the owner; the engine runs on a thread of its own, which calls 'wake' after
/// each answer. A newer question stops the ruling under way, which then gives no answer; so does the
/// destructor.
class RulingJob {
  public:
    explicit RulingJob(std::function<void()> wake);
    ~RulingJob();
    RulingJob(const RulingJob&) = delete;
    RulingJob& operator=(const RulingJob&) = delete;

    void ask(RulingQuestion question);
    /// The newest answer, once.
    [[nodiscard]] std::optional<RulingAnswer> take();

  private:
    void work();

    std::function<void()> wake_;
    std::mutex mutex_;
    std::condition_variable wanted_;
    std::atomic<bool> stop_{false};           // the ruling under way is not wanted any more
    std::optional<RulingQuestion> question_;  // guarded by mutex_
    std::optional<RulingAnswer> answer_;      // guarded by mutex_
    bool ending_ = false;                     // guarded by mutex_
    std::thread thread_;
};

}  // namespace plumbmark::review
