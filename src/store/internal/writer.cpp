#include "store/internal/writer.h"

#include "base/worded.h"

namespace plumbmark::store {

Writer::Writer(Ledger ledger, Clock clock, std::function<void()> wake, bool to_clear)
    : clock_(std::move(clock)),
      wake_(std::move(wake)),
      ledger_(std::move(ledger)),
      to_clear_(to_clear),
      thread_([this] { work(); }) {}

Writer::~Writer() {
    {
        const std::lock_guard lock(mutex_);
        closing_ = true;
    }
    work_to_do_.notify_one();
    thread_.join();
}

std::int64_t Writer::submit(meet::Change change, Erasing erase) {
    std::int64_t ticket = 0;
    {
        const std::lock_guard lock(mutex_);
        queue_.push_back({std::move(change), rfc3339(clock_()), std::move(erase)});
        ticket = ++submitted_;
    }
    work_to_do_.notify_one();
    return ticket;
}

std::int64_t Writer::committed() const {
    const std::lock_guard lock(mutex_);
    return committed_;
}

std::optional<base::Error> Writer::failure() const {
    const std::lock_guard lock(mutex_);
    return failure_;
}

void Writer::retry() {
    {
        const std::lock_guard lock(mutex_);
        failure_.reset();
    }
    work_to_do_.notify_one();
}

base::Result<void> Writer::flush() {
    std::unique_lock lock(mutex_);
    something_done_.wait(lock, [this] { return committed_ == submitted_ || failure_; });
    if (committed_ == submitted_) return {};
    return *failure_;
}

void Writer::wake() const {
    if (wake_) wake_();
}

// A row is fixed once: its salts and its time stay the same however often the write is tried.
base::Result<void> Writer::write_front(const Queued& front) {
    if (!prepared_) {
        base::Result<PreparedRow> row = ledger_.prepare(front.change, front.time, front.erase);
        if (!row) {
            base::Error error = row.error();
            error.sentence = base::worded("the change '{}' does not fit what is stored: {}",
                                          front.change.label, error.sentence);
            return error;
        }
        prepared_ = std::move(*row);
    }
    base::Result<void> written = ledger_.commit(*prepared_);
    if (written) prepared_.reset();
    return written;
}

void Writer::work() {
    std::unique_lock lock(mutex_);
    const auto has_work = [this] { return !failure_ && (to_clear_ || !queue_.empty()); };
    while (true) {
        work_to_do_.wait(lock, [&] { return closing_ || has_work(); });
        if (!has_work()) return;  // closing, with nothing left that can be written
        const bool clearing = to_clear_;
        const Queued* front = clearing ? nullptr : &queue_.front();  // stays while others are added behind it
        lock.unlock();
        const base::Result<void> written = clearing ? ledger_.clear() : write_front(*front);
        lock.lock();
        if (!written) {
            failure_ = written.error();
        } else if (clearing) {
            to_clear_ = false;
        } else {
            queue_.pop_front();
            ++committed_;
        }
        lock.unlock();
        something_done_.notify_all();
        wake();
        lock.lock();
    }
}

}  // namespace plumbmark::store
