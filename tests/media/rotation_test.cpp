// All eight orientations against the ffmpeg program's own autorotation.
#include <array>
#include <catch2/catch.hpp>

#include "media/frame_reader.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

using Matrix = std::array<int, 4>;  // a, b, c, d of the track header's display matrix

std::string with_matrix(std::string bytes, const Matrix& matrix) {
    // ISO/IEC 14496-12, 8.3.2: in a version 0 track header the matrix stands 44 bytes after the box's name
    // begins.
    const std::size_t at = bytes.find("tkhd") + 44;
    const auto put = [&](std::size_t index, int value) {
        const auto fixed = static_cast<std::uint32_t>(value) << 16;
        for (std::size_t i = 0; i < 4; ++i)
            bytes[at + 4 * index + i] = static_cast<char>(fixed >> (24 - 8 * i));
    };
    put(0, matrix[0]);
    put(1, matrix[1]);
    put(3, matrix[2]);
    put(4, matrix[3]);
    return bytes;
}

}  // namespace

TEST_CASE("upright pictures agree with ffmpeg's autorotation for all eight orientations") {
    // Lossless RGB, so that only the orientation can differ.
    const auto base =
        made_clip("oriented.mov", "-f lavfi -i testsrc2=s=48x32:r=5:d=1 -pix_fmt rgb24 -c:v png ");
    const std::string bytes = read_file(base);
    int number = 0;
    for (const Matrix matrix : {Matrix{1, 0, 0, 1},
                                {0, 1, -1, 0},
                                {-1, 0, 0, -1},
                                {0, -1, 1, 0},
                                {-1, 0, 0, 1},
                                {0, 1, 1, 0},
                                {1, 0, 0, -1},
                                {0, -1, -1, 0}}) {
        const auto clip = scratch() / ("oriented-" + std::to_string(number++) + ".mov");
        write_file(clip, with_matrix(bytes, matrix));
        INFO(clip.filename().string());
        const std::string truth = output_of("ffmpeg -v quiet -nostdin -i " + quoted(clip) +
                                            " -frames:v 1 -f rawvideo -pix_fmt rgba - 2>/dev/null");
        auto table = scan_clip(clip);
        REQUIRE(table.ok());
        auto reader = FrameReader::open(clip, std::make_shared<const FrameTable>(std::move(*table)));
        REQUIRE(reader.ok());
        const auto picture = reader->read(0);
        REQUIRE(picture.ok());
        const RgbaImage image = to_rgba(**picture);
        CHECK(image.width == (*picture)->upright_width());
        CHECK(std::string(image.pixels.begin(), image.pixels.end()) == truth);
        const RgbaImage stored = to_rgba(**picture, Orientation::stored);
        CHECK(stored.width == 48);
        CHECK(stored.height == 32);
    }
    CHECK(number == 8);
}
