// RGB of flat pictures against the standards' own equations.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "media/frame_reader.h"
#include "media/reference.h"

using namespace plumbmark::media;
using namespace plumbmark::media::test;

namespace {

struct Tagging {
    const char* name;
    // Told to ffmpeg's filters and to its encoder: newer programs convert where the two differ, and older
    // ones tag what the encoder was told.
    const char* matrix;
    int height;
    double kr, kb;  // luma weights: ITU-R BT.601-7 2.5.1, BT.709-6 item 3.2, BT.2020-2 table 4
};

// One flat colour per clip, lossless, so that no neighbour and no loss can blur what is held to the equation.
std::filesystem::path flat_clip(const Tagging& tagging, int y, int cb, int cr) {
    const std::string colour = std::to_string(y) + "-" + std::to_string(cb) + "-" + std::to_string(cr);
    const std::string matrix = tagging.matrix;
    const std::string told = matrix.empty() ? "" : ",setparams=colorspace=" + matrix + ":range=tv";
    const std::string tagged = matrix.empty() ? "" : "-colorspace " + matrix + " -color_range tv ";
    return made_clip(std::string("flat-") + tagging.name + "-" + colour + ".mp4",
                     "-f lavfi -i color=s=64x" + std::to_string(tagging.height) +
                         ":r=5:d=0.4,format=yuv420p,geq=lum=" + std::to_string(y) +
                         ":cb=" + std::to_string(cb) + ":cr=" + std::to_string(cr) + told +
                         " -c:v libx264 -qp 0 -preset ultrafast " + tagged);
}

}  // namespace

TEST_CASE("RGB follows the equations of the file's matrix and range, and the stated rule where untagged") {
    for (const Tagging& tagging : {Tagging{"601", "smpte170m", 48, 0.299, 0.114},
                                   {"709", "bt709", 48, 0.2126, 0.0722},
                                   {"2020", "bt2020nc", 48, 0.2627, 0.0593},
                                   {"untagged-small", "", 48, 0.299, 0.114},
                                   {"untagged-large", "", 720, 0.2126, 0.0722}}) {
        for (const auto& [y, cb, cr] : {std::tuple{120, 128, 128}, {90, 100, 170}, {150, 160, 90}}) {
            const auto clip = flat_clip(tagging, y, cb, cr);
            auto table = scan_clip(clip);
            REQUIRE(table.ok());
            auto reader = FrameReader::open(clip, std::make_shared<const FrameTable>(std::move(*table)));
            REQUIRE(reader.ok());
            const RgbaImage image = to_rgba(**reader->read(0));
            const double luma = (y - 16) / 219.0, blue = (cb - 128) / 224.0, red = (cr - 128) / 224.0;
            const double r = luma + 2 * (1 - tagging.kr) * red, b = luma + 2 * (1 - tagging.kb) * blue;
            const double g = (luma - tagging.kr * r - tagging.kb * b) / (1 - tagging.kr - tagging.kb);
            const std::size_t centre = 4 * (static_cast<std::size_t>(tagging.height) / 2 * 64 + 32);
            const double exact[3] = {r, g, b};
            INFO(tagging.name << " " << y << " " << cb << " " << cr);
            for (std::size_t c = 0; c < 3; ++c) {
                CHECK(std::abs(image.pixels[centre + c] - std::clamp(exact[c] * 255, 0.0, 255.0)) <= 1.01);
            }
            CHECK(image.pixels[centre + 3] == 255);
        }
    }
}
