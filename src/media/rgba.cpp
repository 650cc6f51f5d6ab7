#include <algorithm>
#include <cstring>
#include <thread>

#include "media/internal/conversion.h"
#include "media/internal/frame_samples.h"
#include "media/internal/sample_rows.h"
#include "media/picture.h"

namespace plumbmark::media {
namespace {

constexpr int kBlock = 16;  // rows that are turned together, so that what is written shares cache lines

// Where stored pixels stand in the upright image: number = first + x * step_x + y * step_y.
struct Placement {
    std::ptrdiff_t first = 0, step_x = 1, step_y = 0;
};

// Mirrored left to right first, then clockwise quarter turns.
Placement placement_of(int width, int height, int quarter_turns, bool mirrored) {
    const std::ptrdiff_t w = width, h = height;
    Placement p;
    switch (quarter_turns) {
        case 1:
            p = {h - 1, h, -1};
            break;
        case 2:
            p = {w * h - 1, -1, -w};
            break;
        case 3:
            p = {h * (w - 1), -h, 1};
            break;
        default:
            p = {0, 1, w};
            break;
    }
    if (mirrored) {
        p.first += (w - 1) * p.step_x;
        p.step_x = -p.step_x;
    }
    return p;
}

void place_block(const std::uint32_t* rows, int width, int y, int count, const Placement& at,
                 std::uint8_t* pixels) {
    if (at.step_x == 1) {
        for (int i = 0; i < count; ++i)
            std::memcpy(pixels + 4 * (at.first + (y + i) * at.step_y),
                        rows + static_cast<std::ptrdiff_t>(i) * width, 4 * static_cast<std::size_t>(width));
        return;
    }
    for (int x = 0; x < width; ++x) {
        for (int i = 0; i < count; ++i)
            std::memcpy(pixels + 4 * (at.first + x * at.step_x + (y + i) * at.step_y),
                        rows + static_cast<std::ptrdiff_t>(i) * width + x, 4);
    }
}

void convert_band(const Samples& samples, int first, int last, const Placement& at, std::uint8_t* pixels) {
    RowMaker maker(samples);
    const auto width = static_cast<std::size_t>(samples.width);
    const bool straight = at.step_x == 1;
    std::vector<std::uint32_t> block(straight ? 0 : kBlock * width);
    for (int y = first; y < last; y += kBlock) {
        const int count = std::min(kBlock, last - y);
        for (int i = 0; i < count; ++i) {
            const std::uint32_t* row = maker.make(y + i);
            if (straight)
                place_block(row, samples.width, y + i, 1, at, pixels);
            else
                std::memcpy(block.data() + static_cast<std::size_t>(i) * width, row, 4 * width);
        }
        if (!straight) place_block(block.data(), samples.width, y, count, at, pixels);
    }
}

void convert_all(const Samples& samples, const Placement& at, std::uint8_t* pixels) {
    constexpr std::int64_t worth_a_thread = 300'000;  // pixels; starting one costs about as much as a tenth
    const std::int64_t size = std::int64_t{samples.width} * samples.height;
    const std::int64_t most = std::clamp(std::thread::hardware_concurrency(), 1U, 4U);
    const auto bands = static_cast<int>(std::clamp<std::int64_t>(size / worth_a_thread, 1, most));
    const auto edge = [&](int band) {
        return static_cast<int>(std::int64_t{samples.height} * band / bands / kBlock * kBlock);
    };
    std::vector<std::jthread> helpers;  // declared last, so that they have ended before what they use is gone
    for (int band = 1; band < bands; ++band) {
        const int last = band + 1 == bands ? samples.height : edge(band + 1);
        helpers.emplace_back([&, band, last] { convert_band(samples, edge(band), last, at, pixels); });
    }
    convert_band(samples, 0, bands == 1 ? samples.height : edge(1), at, pixels);
}

int swscale_matrix(const Picture& picture) {
    switch (picture.matrix()) {
        case ColourMatrix::bt601:
            return SWS_CS_ITU601;
        case ColourMatrix::bt709:
            return SWS_CS_ITU709;
        case ColourMatrix::bt2020:
            return SWS_CS_BT2020;
        case ColourMatrix::smpte240m:
            return SWS_CS_SMPTE240M;
        case ColourMatrix::fcc:
            return SWS_CS_FCC;
        default:
            return picture.height() < 720 ? SWS_CS_ITU601 : SWS_CS_ITU709;
    }
}

// The frame in another format of the same size; null when libswscale cannot or memory is short.
FramePtr repacked(const Picture& picture, AVPixelFormat format) {
    const AVFrame& from = *picture.native().frame;
    FramePtr to = new_frame();
    if (!to || format == AV_PIX_FMT_NONE) return nullptr;
    to->format = format;
    to->width = from.width;
    to->height = from.height;
    if (av_frame_get_buffer(to.get(), 0) < 0) return nullptr;
    ScalerPtr scaler(sws_getContext(
        from.width, from.height, static_cast<AVPixelFormat>(from.format), to->width, to->height, format,
        SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT, nullptr, nullptr, nullptr));
    if (!scaler) return nullptr;
    // Fails for sources that are R'G'B' already; there is nothing to set then.
    const int full = picture.range() == ColourRange::full ? 1 : 0;
    const bool to_rgb = format == AV_PIX_FMT_GBRP;
    sws_setColorspaceDetails(scaler.get(), sws_getCoefficients(swscale_matrix(picture)), full,
                             sws_getCoefficients(to_rgb ? SWS_CS_DEFAULT : swscale_matrix(picture)),
                             to_rgb ? 1 : full, 0, 1 << 16, 1 << 16);
    if (sws_scale(scaler.get(), from.data, from.linesize, 0, from.height, to->data, to->linesize) !=
        from.height)
        return nullptr;
    return to;
}

// For formats that are not described: the same samples in planes, else R'G'B' by libswscale.
FramePtr in_planes(const Picture& picture) {
    const auto format = static_cast<AVPixelFormat>(picture.native().frame->format);
    if (FramePtr twin = repacked(picture, planar_twin(format))) return twin;
    return repacked(picture, AV_PIX_FMT_GBRP);
}

}  // namespace

std::optional<DescribedSamples> described_samples(const Picture& picture) {
    if (auto own = samples_of(picture)) return DescribedSamples{nullptr, *own};
    FramePtr copy = in_planes(picture);
    if (!copy) return std::nullopt;
    auto samples = samples_in(*copy, picture);
    if (!samples) return std::nullopt;
    return DescribedSamples{std::move(copy), *samples};
}

void convert(const Samples& samples, const Picture& tags, Orientation orientation, RgbaImage& into) {
    const bool upright = orientation == Orientation::upright;
    const int turns = upright ? tags.quarter_turns() : 0;
    into.width = turns % 2 == 0 ? samples.width : samples.height;
    into.height = turns % 2 == 0 ? samples.height : samples.width;
    into.pixels.resize(4 * static_cast<std::size_t>(into.width) * static_cast<std::size_t>(into.height));
    const Placement at = placement_of(samples.width, samples.height, turns, upright && tags.mirrored());
    convert_all(samples, at, into.pixels.data());
}

bool to_rgba(const Picture& picture, Orientation orientation, RgbaImage& into) {
    const auto described = described_samples(picture);
    if (!described) {
        into = {};
        return false;
    }
    convert(described->samples, picture, orientation, into);
    return true;
}

RgbaImage to_rgba(const Picture& picture, Orientation orientation) {
    RgbaImage image;
    to_rgba(picture, orientation, image);
    return image;
}

}  // namespace plumbmark::media
