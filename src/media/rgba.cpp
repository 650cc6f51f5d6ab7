#include <cstring>

#include "media/internal/libav.h"
#include "media/picture.h"

namespace plumbmark::media {
namespace {

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

RgbaImage convert(const Picture& picture) {
    const AVFrame& frame = *picture.native().frame;
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const int width = picture.width(), height = picture.height();
    // Full chroma interpolation: swscale's default repeats colour samples, which moves coloured edges by a
    // pixel.
    ScalerPtr scaler(sws_getContext(width, height, format, width, height, AV_PIX_FMT_RGBA,
                                    SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT, nullptr, nullptr,
                                    nullptr));
    if (!scaler) return {};
    // Fails for sources that are R'G'B' already; there is nothing to set then.
    sws_setColorspaceDetails(scaler.get(), sws_getCoefficients(swscale_matrix(picture)),
                             picture.range() == ColourRange::full ? 1 : 0,
                             sws_getCoefficients(SWS_CS_DEFAULT), 1, 0, 1 << 16, 1 << 16);
    RgbaImage image{width, height, {}};
    image.pixels.resize(4 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    std::uint8_t* const planes[4] = {image.pixels.data()};
    const int strides[4] = {4 * width};
    if (sws_scale(scaler.get(), frame.data, frame.linesize, 0, height, planes, strides) != height) return {};
    const AVPixFmtDescriptor* descriptor = av_pix_fmt_desc_get(format);
    if (descriptor->flags & AV_PIX_FMT_FLAG_ALPHA || format == AV_PIX_FMT_PAL8) {
        for (std::size_t i = 3; i < image.pixels.size(); i += 4)
            image.pixels[i] = 255;
    }
    return image;
}

// Mirror left to right first, then clockwise quarter turns.
RgbaImage oriented(const RgbaImage& from, int quarter_turns, bool mirrored) {
    const bool swaps = quarter_turns % 2 != 0;
    RgbaImage to{swaps ? from.height : from.width, swaps ? from.width : from.height, {}};
    to.pixels.resize(from.pixels.size());
    for (int y = 0; y < to.height; ++y) {
        for (int x = 0; x < to.width; ++x) {
            int sx = x, sy = y;  // where the pixel stands before turning
            switch (quarter_turns) {
                case 1:
                    sx = y, sy = to.width - 1 - x;
                    break;
                case 2:
                    sx = to.width - 1 - x, sy = to.height - 1 - y;
                    break;
                case 3:
                    sx = to.height - 1 - y, sy = x;
                    break;
                default:
                    break;
            }
            if (mirrored) sx = from.width - 1 - sx;
            const auto source = 4 * (static_cast<std::size_t>(sy) * static_cast<std::size_t>(from.width) +
                                     static_cast<std::size_t>(sx));
            const auto target = 4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(to.width) +
                                     static_cast<std::size_t>(x));
            std::memcpy(&to.pixels[target], &from.pixels[source], 4);
        }
    }
    return to;
}

}  // namespace

RgbaImage to_rgba(const Picture& picture, Orientation orientation) {
    RgbaImage image = convert(picture);
    const bool turned = picture.quarter_turns() != 0 || picture.mirrored();
    if (orientation == Orientation::stored || !turned || image.pixels.empty()) return image;
    return oriented(image, picture.quarter_turns(), picture.mirrored());
}

}  // namespace plumbmark::media
