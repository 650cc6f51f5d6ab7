#include <cstdarg>
#include <cstdio>
#include <deque>
#include <mutex>

#include "media/internal/libav.h"

namespace plumbmark::media {
namespace {

struct Ring {
    std::mutex mutex;
    std::deque<std::string> lines;  // guarded by mutex: decoder threads log too
};

Ring& ring() {
    static Ring* kept = new Ring;  // never destroyed: libav may log while the program ends
    return *kept;
}

void keep_message(void* source, int level, const char* format, va_list arguments) {
    if (level > AV_LOG_ERROR) return;
    char line[512];
    int prefix = 1;
    av_log_format_line(source, level, format, arguments, line, sizeof line, &prefix);
    Ring& kept = ring();
    std::lock_guard lock(kept.mutex);
    if (kept.lines.size() == 32) kept.lines.pop_front();
    kept.lines.emplace_back(line);
}

}  // namespace

void quiet_libav() {
    static std::once_flag once;
    std::call_once(once, [] {
        av_log_set_callback(keep_message);
        // No packet, index or plane of a picture that this module accepts is larger; a lying header may ask
        // for more.
        av_max_alloc(std::size_t{1} << 30);
    });
}

std::vector<std::string> recent_libav_messages() {
    Ring& kept = ring();
    std::lock_guard lock(kept.mutex);
    return {kept.lines.begin(), kept.lines.end()};
}

}  // namespace plumbmark::media
