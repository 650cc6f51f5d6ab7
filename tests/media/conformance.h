// One clip held against the ffmpeg and ffprobe programs, on every path.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "media/frame_reader.h"
#include "media/frame_table.h"

namespace plumbmark::media::test {

struct Conformance {
    std::string input_options;  ///< for ffmpeg, before -i
    int stream = 0;             ///< among the video streams
    int random_reads = -1;  ///< with nothing kept, so each pays for its jump; -1: by the size of the pictures
    bool backward = true;
};

/// What the comparison found: the first difference of each kind, in words; none when all agrees.
struct Compared {
    std::shared_ptr<const FrameTable> table;  ///< null when the clip cannot be scanned
    std::vector<std::string> differences;
};

/// Compares frame count, order and pictures with framemd5; times with ffprobe; and forward, backward and
/// random reads with one another. Some of libav's decoders (dav1d's for AV1, MJPEG) give out pictures that an
/// edit list cuts away, others do not (libaom's, H.264): pictures whose packets ffprobe flags as discarded do
/// not count, as ISO/IEC 14496-12, 8.6.6 has it. Knows no test framework: programs use it, too. Throws
/// std::runtime_error when the ffmpeg programs cannot be run.
Compared compare_with_programs(const std::filesystem::path& clip, const Conformance& how = {});

/// The same within a test: each difference fails it. Returns the table for further checks.
std::shared_ptr<const FrameTable> check_against_programs(const std::filesystem::path& clip,
                                                         const Conformance& how = {});

/// What the ffmpeg program is told for a shared clip.
Conformance how_to_compare(const std::filesystem::path& clip);

}  // namespace plumbmark::media::test
