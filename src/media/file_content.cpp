#include "media/file_content.h"

#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <chrono>
#include <thread>

#include "media/fingerprint.h"
#include "media/internal/container.h"

namespace plumbmark::media {
namespace {

constexpr std::chrono::milliseconds kBetweenQuestions{10};

}  // namespace

base::Result<std::optional<FileContent>> file_content(const std::filesystem::path& path,
                                                      const ContentOptions& options) {
    const auto bytes = bytes_of_clip(path, options.open_bytes, options.stop);
    if (!bytes) return bytes.error();
    const ByteMark mark = (*bytes)->mark();
    if (mark.changed_at == options.unless_changed_at) return std::optional<FileContent>{};
    const auto between = [&](double share) {
        if (options.progress) options.progress(share);
        while (options.busy && !options.stop.stop_requested() && options.busy())
            std::this_thread::sleep_for(kBetweenQuestions);
    };
    between(0);
    const auto sum = sha256_file(**bytes, {path, options.stop}, between);
    // What the file became meanwhile explains best why it could not be read, and spoils what could.
    if (!options.stop.stop_requested()) {
        if (auto changed = what_changed(mark, (*bytes)->look(options.stop), path)) return *changed;
    }
    if (!sum) return sum.error();
    return std::optional(FileContent{*sum, mark.changed_at});
}

void work_behind_all_others() {
    constexpr int lowest_priority = 19;
    // ioprio_set(2): the C library has no name for it. Class 3 is 'idle'.
    constexpr int of_this_thread = 1, idle_class = 3 << 13;
    (void)::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), lowest_priority);
    (void)::syscall(SYS_ioprio_set, of_this_thread, 0, idle_class);
}

}  // namespace plumbmark::media
