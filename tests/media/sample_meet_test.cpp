// The clips of the sample meet against the ffmpeg and ffprobe programs.
#include <algorithm>
#include <catch2/catch.hpp>
#include <iostream>

#include "media/conformance.h"
#include "media/reference.h"
#include "support/sanitized.h"
#include "support/test_places.h"

using namespace plumbmark::media::test;

TEST_CASE("the sample meet's clips have ffmpeg's frames at ffprobe's times") {
    namespace fs = std::filesystem;
    const fs::path folder = plumbmark::test::source_folder() / "sample_clips";
    std::vector<fs::path> clips;
    if (fs::is_directory(folder)) {
        for (const auto& entry : fs::directory_iterator(folder)) {
            if (entry.path().extension() == ".mp4") clips.push_back(entry.path());
        }
    }
    if (clips.empty()) std::cout << "skipped: sample_clips holds no clips\n";
    std::sort(clips.begin(), clips.end());
    if (plumbmark::test::kSanitized && clips.size() > 1) clips.resize(1);  // they are made alike
    Conformance how;
    how.random_reads = 2;
    for (const auto& clip : clips)
        check_against_programs(clip, how);
}
