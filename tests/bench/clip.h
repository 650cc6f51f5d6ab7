// A clip under measurement, and the truth about its frames.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "media/frame_table.h"

namespace plumbmark::bench {

/// A frame as an independent program saw it.
struct TrueFrame {
    std::int64_t pts = 0;  ///< ticks of Clip::time_base
    std::string md5;       ///< over the decoder's own planes
};

struct Clip {
    std::filesystem::path path;
    std::shared_ptr<const media::FrameTable> table;
    std::vector<TrueFrame> truth;  ///< empty where it was not asked for
    std::string truth_from;        ///< who said so, in words

    [[nodiscard]] std::int64_t frames() const { return table->size(); }
    [[nodiscard]] std::int64_t pts(std::int64_t n) const { return (*table)[n].pts; }
    [[nodiscard]] base::Rational time_base() const { return table->time_base(); }
    /// Presentation time of frame n in seconds, as a peer is asked for it.
    [[nodiscard]] double seconds(std::int64_t n) const;
};

/// The clip with its frame table, without truth. Errors: those of media::scan_clip.
[[nodiscard]] base::Result<Clip> open_clip(const std::filesystem::path& path);

/// Adds the truth: picture sums by `ffmpeg -noautorotate -i CLIP -map 0:v:0 -fps_mode passthrough -autoscale
/// 0 -f framemd5 -`, times by `ffprobe -select_streams v:0 -show_entries frame=pts`. Where these programs are
/// not installed, a linear pass of libav on one thread stands in, and truth_from says so. Errors: io (they
/// failed, or the two count differently).
[[nodiscard]] base::Result<void> find_truth(Clip& clip);

}  // namespace plumbmark::bench
