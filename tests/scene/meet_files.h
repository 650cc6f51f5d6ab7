// Writing the sample meet's clips and truth, and holding those in the repository against a fresh rendering.
#pragma once

#include <functional>
#include <map>
#include <string>

#include "base/result.h"
#include "compare.h"
#include "truth.h"

namespace plumbmark::scene {

using Say = std::function<void(const std::string&)>;

/// Writes all clips and truth.json into a folder that exists.
[[nodiscard]] base::Result<void> write_meet(const std::string& folder, int threads, const Say& say);

/// What a check found.
struct CheckReport {
    std::size_t clips = 0, frames = 0, compared = 0;
    double least_psnr = 99, worst_block = 0, worst_colour = 0;
    std::vector<std::string> faults;  ///< sentences; empty: all is well
};

/// Renders every 'every'-th frame of a view again and holds the clip's file against it: number, time stamps,
/// size and turning of all frames, pictures and digests of the compared ones.
[[nodiscard]] CheckReport check_clip(const Run& run, const View& view, const Stage& stage,
                                     const std::string& path, const ClipDigest& digest, int every,
                                     int threads);

/// Checks the whole folder: every clip as above, and the truth file byte for byte against a freshly computed
/// one (of digests, those of the compared frames; with every = 1, all, and the digest of the whole clip).
[[nodiscard]] base::Result<CheckReport> check_meet(const std::string& folder, int every, int threads,
                                                   const Say& say);

}  // namespace plumbmark::scene
