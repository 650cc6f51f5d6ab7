#include "review/internal/file_watch.h"

#include <condition_variable>
#include <mutex>
#include <thread>
#include <utility>

#include "media/clip_bytes.h"

namespace plumbmark::review {

struct FileWatch::Shared {
    const std::filesystem::path file;
    const std::chrono::milliseconds between;
    mutable std::mutex mutex;
    std::condition_variable news;
    // Guarded by mutex:
    std::function<void()> wake;
    std::optional<base::Error> trouble;
    bool over = false;

    /// False when nobody asks any more.
    bool wait() {
        std::unique_lock lock(mutex);
        return !news.wait_for(lock, between, [&] { return over; });
    }
    void take(std::optional<base::Error> found) {
        const std::lock_guard lock(mutex);
        if (over || found == trouble) return;
        trouble = std::move(found);
        if (wake) wake();
    }
};

FileWatch::FileWatch(std::filesystem::path file, std::function<void()> wake,
                     std::chrono::milliseconds between)
    : shared_(new Shared{std::move(file), between, {}, {}, std::move(wake), {}, false}) {
    std::thread([shared = shared_] {
        const auto bytes = media::open_file_bytes(shared->file);
        if (!bytes) return;
        while (shared->wait())
            shared->take(media::what_changed((*bytes)->mark(), (*bytes)->look({}), shared->file));
    }).detach();
}

FileWatch::~FileWatch() {
    {
        const std::lock_guard lock(shared_->mutex);
        shared_->over = true;
    }
    shared_->news.notify_all();
}

std::optional<base::Error> FileWatch::trouble() const {
    const std::lock_guard lock(shared_->mutex);
    return shared_->trouble;
}

}  // namespace plumbmark::review
