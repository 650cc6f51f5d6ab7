// What it costs to bring decoded pictures to the screen, by each way:
//
//   measure-pictures CLIP ...
//
// Prints medians in milliseconds a picture. 'convert' is media::to_rgba alone; 'processor' and 'card' are the
// whole way of a new picture (with its smaller levels), until the card has done it too; 'window' is what the
// window's thread does of the processor's way.
#include <fmt/format.h>
#include <GL/gl.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <thread>

#include "desk/internal/gl_canvas.h"
#include "desk/internal/textures.h"
#include "media/frame_reader.h"

using namespace plumbmark;

namespace {

using Pictures = std::vector<std::shared_ptr<const media::Picture>>;

base::Result<Pictures> pictures_of(const std::string& clip) {
    auto scanned = media::scan_clip(clip);
    if (!scanned) return scanned.error();
    const auto table = std::make_shared<const media::FrameTable>(std::move(*scanned));
    auto reader = media::FrameReader::open(clip, table);
    if (!reader) return reader.error();
    Pictures pictures;
    for (std::int64_t n = 0; n < std::min<std::int64_t>(12, table->size()); ++n) {
        auto picture = reader->read(n);
        if (!picture) return picture.error();
        pictures.push_back(*picture);
    }
    return pictures;
}

double median_of(const Pictures& pictures, const std::function<void(const Pictures::value_type&)>& work) {
    std::vector<double> took;
    for (int round = 0; round < 3; ++round) {
        for (const auto& picture : pictures) {
            const auto begun = std::chrono::steady_clock::now();
            work(picture);
            took.push_back(
                std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count());
        }
    }
    std::nth_element(took.begin(), took.begin() + static_cast<std::ptrdiff_t>(took.size() / 2), took.end());
    return took[took.size() / 2];
}

double by_way(const Pictures& pictures, desk::PictureWay way) {
    desk::PictureTextures textures;  // keeps fewer than there are pictures, so each is new to it
    textures.take_way(way);
    return median_of(pictures, [&](const auto& picture) {
        while (!textures.can_show(picture))
            std::this_thread::yield();
        glFinish();
    });
}

double on_the_windows_thread(const Pictures& pictures) {
    desk::PictureMaker maker({});
    std::vector<double> took;
    desk::Texture texture;
    for (const auto& picture : pictures) {
        auto made = maker.take(picture);
        for (; !made; made = maker.take(picture))
            std::this_thread::yield();
        const auto begun = std::chrono::steady_clock::now();
        texture.upload(made->image, made->smaller);
        glFinish();
        took.push_back(
            std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count());
        maker.give_back(std::move(made));
    }
    std::nth_element(took.begin(), took.begin() + static_cast<std::ptrdiff_t>(took.size() / 2), took.end());
    return took[took.size() / 2];
}

}  // namespace

int main(int count, char** clips) {
    const auto canvas = desk::GlCanvas::create(64, 64);
    if (!canvas) {
        fmt::print(stderr, "{}\n", canvas.error().text());
        return 1;
    }
    fmt::print("{}\n", reinterpret_cast<const char*>(glGetString(GL_RENDERER)));
    for (int i = 1; i < count; ++i) {
        const auto pictures = pictures_of(clips[i]);
        if (!pictures) {
            fmt::print(stderr, "{}: {}\n", clips[i], pictures.error().text());
            return 1;
        }
        media::RgbaImage image;
        const double convert = median_of(*pictures, [&](const auto& picture) {
            media::to_rgba(*picture, media::Orientation::upright, image);
        });
        const media::Picture& first = *pictures->front();
        fmt::print("{} {}x{} {}: convert {:.1f}, processor {:.1f}, window {:.1f}, card {:.1f}\n", clips[i],
                   first.width(), first.height(), first.format(), convert,
                   by_way(*pictures, desk::PictureWay::processor), on_the_windows_thread(*pictures),
                   by_way(*pictures, desk::PictureWay::card));
    }
    return 0;
}
