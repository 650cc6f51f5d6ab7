// The independent truth about a clip: what the ffmpeg and ffprobe programs say, and places of the clips.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace plumbmark::media::test {

/// Standard output of a shell command. Here as below: std::runtime_error, which fails a test, when something
/// cannot be run, made or written.
std::string output_of(const std::string& command);
/// A word of a shell command, quoted.
std::string quoted(const std::filesystem::path& path);

/// MD5 of each frame in order: `ffmpeg -noautorotate -i CLIP -map 0:v:0 -fps_mode passthrough -f framemd5 -`.
/// With -autoscale 0, so that a picture of another size than the first one is not scaled to it before it is
/// summed.
std::vector<std::string> framemd5(const std::filesystem::path& clip, const std::string& input_options = {},
                                  int stream = 0);

/// pts (none for N/A) and best-effort time of each frame: `ffprobe -select_streams v:0 -show_frames`.
struct ProbedFrame {
    std::optional<std::int64_t> pts, best_effort;
};
std::vector<ProbedFrame> probed_frames(const std::filesystem::path& clip, int stream = 0);

/// pts of the packets that ffprobe flags as discarded: cut away by an edit list.
std::set<std::int64_t> cut_times(const std::filesystem::path& clip, int stream = 0);

/// Runs ffmpeg to make a clip in the build folder, once per run of the tests; returns its path.
std::filesystem::path made_clip(const std::string& name, const std::string& arguments);
/// A folder for files that tests write.
std::filesystem::path scratch();

/// A clip among the shared ones; prints "skipped: ..." and returns nothing where it is not there.
std::optional<std::filesystem::path> shared_clip(const std::string& name);
/// All clips directly in a folder, by name.
std::vector<std::filesystem::path> clips_in(const std::filesystem::path& folder);
/// The same for a shared folder; prints "skipped: ..." where the folder is not there.
std::vector<std::filesystem::path> shared_clips(const std::string& folder);

std::string read_file(const std::filesystem::path& path);
void write_file(const std::filesystem::path& path, const std::string& bytes);
/// The lines of a text, without line ends or empty lines.
std::vector<std::string> lines_of(const std::string& text);

}  // namespace plumbmark::media::test
