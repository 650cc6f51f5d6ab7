#include "review/internal/file_watch.h"

#include <thread>
#include <utility>

#include "media/clip_bytes.h"
#include "review/internal/lookout.h"

namespace plumbmark::review {

struct FileWatch::Shared : Lookout<std::optional<base::Error>> {
    using Lookout::Lookout;
};

FileWatch::FileWatch(std::filesystem::path file, std::function<void()> wake,
                     std::chrono::milliseconds between)
    : shared_(std::make_shared<Shared>(std::move(wake), between)) {
    std::thread([shared = shared_, file = std::move(file)] {
        const auto bytes = media::open_file_bytes(file);
        if (!bytes) return;
        while (shared->wait())
            shared->take(media::what_changed((*bytes)->mark(), (*bytes)->look({}), file));
    }).detach();
}

FileWatch::~FileWatch() {
    shared_->end();
}

std::optional<base::Error> FileWatch::trouble() const {
    return shared_->found();
}

}  // namespace plumbmark::review
