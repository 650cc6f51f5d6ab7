// One clip held against the ffmpeg and ffprobe programs, on every path.
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "media/frame_reader.h"
#include "media/frame_table.h"

namespace plumbmark::media::test {

struct Conformance {
    std::string input_options;  ///< for ffmpeg, before -i
    int stream = 0;             ///< among the video streams
    int random_reads = -1;  ///< with nothing kept, so each pays for its jump; -1: by the size of the pictures
    bool backward = true;
};

/// Checks: frame count, order and pictures against framemd5; times against ffprobe; forward, backward and
/// random reads give the same pictures. Returns the table for further checks.
std::shared_ptr<const FrameTable> check_against_programs(const std::filesystem::path& clip,
                                                         const Conformance& how = {});

}  // namespace plumbmark::media::test
