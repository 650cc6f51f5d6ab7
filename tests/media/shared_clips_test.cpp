// Every shared clip against the ffmpeg and ffprobe programs.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "media/conformance.h"
#include "media/reference.h"
#include "support/sanitized.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;
using plumbmark::test::kSanitized;

namespace {

/// Under sanitizers the smallest of the folder: each codec and container is in the conformance matrix as
/// well.
void check_folder(const std::string& folder) {
    auto clips = shared_clips(folder);
    if (kSanitized && clips.size() > 1) {
        std::sort(clips.begin(), clips.end(), [](const auto& a, const auto& b) {
            return std::filesystem::file_size(a) < std::filesystem::file_size(b);
        });
        clips.resize(1);
    }
    for (const auto& clip : clips)
        check_against_programs(clip, how_to_compare(clip));
}

}  // namespace

TEST_CASE("mobile sample clips have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/androidx-media");
}
TEST_CASE("codec development streams have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/cros-codecs");
}
TEST_CASE("rotated and unordered clips have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/decord");
}
TEST_CASE("a long animated clip has ffmpeg's frames at ffprobe's times") {
    check_folder("decode/ffmpeg-cli-wrapper");
}
TEST_CASE("a clip of broken structure has ffmpeg's frames at ffprobe's times") {
    check_folder("decode/libwebm");
}
TEST_CASE("browser test clips have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/mediabunny");
}
TEST_CASE("camera clips have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/metadata-extractor-images");
}
TEST_CASE("parser edge cases have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/mp4parse-rust");
}
TEST_CASE("conformance streams have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/openh264");
}
TEST_CASE("reference frames' clips have ffmpeg's frames at ffprobe's times") {
    check_folder("decode/torchcodec");
}
TEST_CASE("the gym's four cameras have ffmpeg's frames at ffprobe's times") {
    check_folder("motion/gym-four-cameras");
}
TEST_CASE("the walkers' clip has ffmpeg's frames at ffprobe's times") {
    check_folder("motion/walkers");
}
TEST_CASE("the force plates' film has ffmpeg's frames at ffprobe's times") {
    check_folder("motion/force-plates");
}
