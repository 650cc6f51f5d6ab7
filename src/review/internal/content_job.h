// Reads the whole files of clips, one after the other, behind all other work.
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "base/result.h"
#include "media/file_content.h"
#include "meet/values.h"
#include "review/internal/hand_movement.h"

namespace plumbmark::review {

/// What came of one file; no content where its time of change had not moved.
struct ContentFound {
    meet::ClipId clip;
    base::Result<std::optional<media::FileContent>> content;
};

/// Threads: made, asked and destroyed by one owner; the work has a thread of its own at the lowest priority,
/// begun with the first question, which calls 'wake' after each percent of a file and after its end. It rests
/// while the hand moves and while hold(true) says that others read. The destructor stops the work,
/// also on a drive that does not answer.
class ContentJob {
  public:
    ContentJob(std::function<void()> wake, std::shared_ptr<const HandMovement> hand);
    ~ContentJob();
    ContentJob(const ContentJob&) = delete;
    ContentJob& operator=(const ContentJob&) = delete;

    /// A file last changed at unless_changed_at is not read.
    void ask(meet::ClipId clip, std::filesystem::path file, std::optional<std::int64_t> unless_changed_at);
    /// Nobody wants this clip's content any more.
    void forget(meet::ClipId clip);
    void hold(bool others_read);

    /// Share of the clip's file that is read, 0 to 1; negative while it is not being read.
    [[nodiscard]] double progress(meet::ClipId clip) const;
    /// What came since the last call. Never waits for the thread, which may have to wait long for the
    /// processor: what it is just handing over comes with the next call, after its wake-up.
    [[nodiscard]] std::vector<ContentFound> take();

  private:
    struct Question {
        meet::ClipId clip;
        std::filesystem::path file;
        std::optional<std::int64_t> unless_changed_at;
        std::stop_source stop;
    };
    void work(const std::stop_token& stop);
    [[nodiscard]] std::optional<Question> next(const std::stop_token& stop);
    [[nodiscard]] base::Result<std::optional<media::FileContent>> read(const Question& question);
    void tell(double share);
    [[nodiscard]] bool busy() const;

    const std::function<void()> wake_;
    const std::shared_ptr<const HandMovement> hand_;
    std::atomic<bool> held_{false};
    std::atomic<std::int64_t> reading_{-1};  // the clip at work
    std::atomic<double> share_{0};           // of it
    mutable std::mutex mutex_;
    std::condition_variable_any news_;
    std::deque<Question> questions_;   // guarded by mutex_; the first one is at work
    std::vector<ContentFound> found_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
