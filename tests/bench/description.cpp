#include "description.h"

extern "C" {
#include <libavutil/avutil.h>
}

#include <fmt/format.h>

#include <fstream>
#include <thread>

namespace plumbmark::bench {

std::string content_text(const Clip& clip) {
    const media::FrameTable& table = *clip.table;
    std::int64_t groups = 0;
    for (std::int64_t n = 0; n < table.size(); ++n)
        groups += table[n].key ? 1 : 0;
    const double seconds = clip.seconds(table.size() - 1) - clip.seconds(0);
    const double megabits = static_cast<double>(std::filesystem::file_size(clip.path)) * 8 / 1e6;
    return fmt::format("{} {} x {}, {} frames in {} groups, {:.1f} s, {:.1f} Mbit/s", table.info().codec,
                       table.info().width, table.info().height, table.size(), groups, seconds,
                       seconds > 0 ? megabits / seconds : 0);
}

std::string machine_text() {
    std::string processor = "unknown processor";
    std::ifstream file("/proc/cpuinfo");
    for (std::string line; std::getline(file, line);) {
        if (line.rfind("model name", 0) != 0) continue;
        processor = line.substr(line.find(':') + 2);
        break;
    }
    return fmt::format("{}, {} cores; libav of FFmpeg {}", processor, std::thread::hardware_concurrency(),
                       av_version_info());
}

}  // namespace plumbmark::bench
