// Writes a file that leaves the meet, in the background.
#pragma once

#include <atomic>
#include <functional>
#include <mutex>
#include <optional>
#include <stop_token>
#include <thread>

#include "review/export_clip.h"

namespace plumbmark::review {

/// Threads: made, asked and destroyed by one owner; the work has a thread of its own, which calls 'wake' now
/// and then and when it is done. The destructor stops it, which takes half a second at most (within a search
/// for faces).
class ExportJob {
  public:
    ExportJob(ExportWork work, std::function<void()> wake);
    /// What this gives as a file, as marks for other programs are; 'kind' and 'words' as Exported has them.
    /// It is called once, on the job's thread, tells the share done, and ends soon with the error cancelled
    /// once it is stopped.
    using Make = std::function<base::Result<std::string>(const std::function<void(double)>& progress,
                                                         const std::stop_token& stop)>;
    ExportJob(std::filesystem::path out, Make make, std::string kind, std::string words,
              std::function<void()> wake);
    ~ExportJob();
    ExportJob(const ExportJob&) = delete;
    ExportJob& operator=(const ExportJob&) = delete;

    [[nodiscard]] const std::filesystem::path& out() const { return out_; }
    [[nodiscard]] double progress() const { return progress_.load(std::memory_order_relaxed); }
    /// Lets it go: the answer is then most often the error cancelled, and nothing is left of the file.
    void stop() { thread_.request_stop(); }
    /// What came of it, once.
    [[nodiscard]] std::optional<base::Result<Exported>> take();

  private:
    using Work =
        std::function<base::Result<Exported>(const std::function<void(double)>&, const std::stop_token&)>;
    void run(const Work& work, const std::stop_token& stop);

    const std::filesystem::path out_;
    const std::function<void()> wake_;
    std::atomic<double> progress_{0};
    std::mutex mutex_;
    std::optional<base::Result<Exported>> answer_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
