#include "clip.h"

#include <sstream>

#include "bare_libav.h"
#include "program.h"

namespace plumbmark::bench {
namespace {

using base::Category;

std::vector<std::string> sums_in(const std::string& framemd5) {
    std::vector<std::string> sums;
    std::istringstream lines(framemd5);
    for (std::string line; std::getline(lines, line);) {
        const std::size_t last = line.rfind(' ');
        if (!line.empty() && line[0] != '#' && last != std::string::npos)
            sums.push_back(line.substr(last + 1));
    }
    return sums;
}

std::vector<std::int64_t> times_in(const std::string& probed) {
    std::vector<std::int64_t> times;
    std::istringstream lines(probed);
    for (std::string line; std::getline(lines, line);) {
        if (line.empty()) continue;
        times.push_back(line[0] == 'N' ? INT64_MIN : std::stoll(line));
    }
    return times;
}

base::Result<void> truth_by_programs(Clip& clip) {
    auto pictures =
        run_program({"ffmpeg", "-v", "error", "-nostdin", "-noautorotate", "-i", clip.path.string(), "-map",
                     "0:v:0", "-fps_mode", "passthrough", "-autoscale", "0", "-f", "framemd5", "-"});
    if (!pictures) return pictures.error();
    auto probed = run_program({"ffprobe", "-v", "error", "-select_streams", "v:0", "-show_entries",
                               "frame=pts", "-of", "default=noprint_wrappers=1:nokey=1", clip.path.string()});
    if (!probed) return probed.error();
    const std::vector<std::string> sums = sums_in(*pictures);
    const std::vector<std::int64_t> times = times_in(*probed);
    if (sums.size() != times.size()) {
        return base::Error{Category::io,
                           "ffmpeg sees " + std::to_string(sums.size()) + " frames and ffprobe " +
                               std::to_string(times.size()) +
                               "; there is no truth to hold anything against. Leave the figure 'exact' out.",
                           clip.path.string()};
    }
    for (std::size_t i = 0; i < sums.size(); ++i)
        clip.truth.push_back({times[i], sums[i]});
    clip.truth_from = "ffmpeg and ffprobe programs";
    return {};
}

base::Result<void> truth_by_linear_pass(Clip& clip) {
    auto opened = BareLibav::open(clip, 1);
    if (!opened) return opened.error();
    while ((*opened)->next())
        clip.truth.push_back({(*opened)->pts(), (*opened)->look().digest});
    clip.truth_from = "linear pass of libav on one thread (the ffmpeg program is not installed)";
    return {};
}

}  // namespace

double Clip::seconds(std::int64_t n) const {
    return static_cast<double>(pts(n)) * static_cast<double>(time_base().num) /
           static_cast<double>(time_base().den);
}

base::Result<Clip> open_clip(const std::filesystem::path& path) {
    auto table = media::scan_clip(path);
    if (!table) return table.error();
    Clip clip;
    clip.path = path;
    clip.table = std::make_shared<const media::FrameTable>(std::move(*table));
    return clip;
}

base::Result<void> find_truth(Clip& clip) {
    clip.truth.clear();
    if (program_there("ffmpeg") && program_there("ffprobe")) return truth_by_programs(clip);
    return truth_by_linear_pass(clip);
}

}  // namespace plumbmark::bench
