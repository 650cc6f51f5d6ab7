// The thread that writes queued changes.
#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>

#include "store/internal/ledger.h"

namespace plumbmark::store {

using Clock = std::function<std::int64_t()>;

class Writer {
  public:
    /// 'wake' is called from the writer's thread after each commit or failure. to_clear: the last row erased
    /// something, and a program may have been stopped before it cleared the place where it stood; that is
    /// done first.
    Writer(Ledger ledger, Clock clock, std::function<void()> wake, bool to_clear);
    Writer(const Writer&) = delete;
    Writer& operator=(const Writer&) = delete;
    ~Writer();  ///< writes what is queued, unless a write has failed

    std::int64_t submit(meet::Change change, Erasing erase);
    [[nodiscard]] std::int64_t committed() const;
    [[nodiscard]] std::optional<base::Error> failure() const;
    void retry();
    [[nodiscard]] base::Result<void> flush();

  private:
    struct Queued {
        meet::Change change;
        std::string time;
        Erasing erase;
    };

    void work();
    [[nodiscard]] base::Result<void> write_front(const Queued& front);
    void wake() const;

    const Clock clock_;
    const std::function<void()> wake_;

    // The writer's thread only.
    Ledger ledger_;
    std::optional<PreparedRow> prepared_;  // the front of the queue, once its row is fixed

    // Under mutex_.
    mutable std::mutex mutex_;
    std::condition_variable work_to_do_;
    std::condition_variable something_done_;
    std::deque<Queued> queue_;
    std::int64_t submitted_ = 0;
    std::int64_t committed_ = 0;
    std::optional<base::Error> failure_;
    bool closing_ = false;
    bool to_clear_ = false;

    std::thread thread_;  // last: it uses all the others
};

}  // namespace plumbmark::store
