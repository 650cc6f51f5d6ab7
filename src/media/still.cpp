#include "media/still.h"

#include <algorithm>
#include <cstring>

#include "base/worded.h"
#include "media/internal/libav.h"

namespace plumbmark::media {
namespace {

using base::Category;

base::Error bad(base::Sentence sentence) {
    return base::Error{Category::bad_input, std::move(sentence), {}};
}

bool is_sound(const RgbaImage& image) {
    return image.width > 0 && image.height > 0 &&
           image.pixels.size() ==
               4 * static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height);
}

base::Error not_an_image() {
    return bad(base::worded("The picture is empty or its pixels do not fit its size."));
}

bool is_opaque(const RgbaImage& image) {
    for (std::size_t i = 3; i < image.pixels.size(); i += 4) {
        if (image.pixels[i] != 255) return false;
    }
    return true;
}

// The image in another pixel format, or null when memory is short.
FramePtr as_frame(const RgbaImage& image, AVPixelFormat format) {
    FramePtr frame = new_frame();
    frame->format = format;
    frame->width = image.width;
    frame->height = image.height;
    if (av_frame_get_buffer(frame.get(), 0) < 0) return nullptr;
    ScalerPtr scaler(sws_getContext(image.width, image.height, AV_PIX_FMT_RGBA, image.width, image.height,
                                    format, SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INP, nullptr,
                                    nullptr, nullptr));
    if (!scaler) return nullptr;
    const int* matrix = sws_getCoefficients(SWS_CS_ITU601);
    sws_setColorspaceDetails(scaler.get(), matrix, 1, matrix, 1, 0, 1 << 16, 1 << 16);
    const std::uint8_t* const planes[4] = {image.pixels.data()};
    const int strides[4] = {4 * image.width};
    if (sws_scale(scaler.get(), planes, strides, 0, image.height, frame->data, frame->linesize) !=
        image.height) {
        return nullptr;
    }
    return frame;
}

base::Error encoder_failed(const char* name) {
    return base::Error{
        Category::io, base::worded("Writing the picture as {} failed; memory may be short.", name), {}};
}

base::Result<std::vector<std::uint8_t>> encode(const RgbaImage& image, AVCodecID id, AVPixelFormat format,
                                               int scale, const char* name) {
    quiet_libav();
    const AVCodec* codec = avcodec_find_encoder(id);
    if (!codec)
        return base::Error{Category::unsupported, base::worded("This build cannot write {}.", name), {}};
    FramePtr frame = as_frame(image, format);
    CodecPtr context(avcodec_alloc_context3(codec));
    if (!frame || !context) return encoder_failed(name);
    context->width = image.width;
    context->height = image.height;
    context->pix_fmt = format;
    context->time_base = {1, 1};
    context->sample_aspect_ratio = {1, 1};
    context->flags |=
        AV_CODEC_FLAG_BITEXACT;  // no version text in the file: the same picture gives the same bytes
    context->thread_count = 1;
    if (scale > 0) {
        context->color_range = AVCOL_RANGE_JPEG;
        context->flags |= AV_CODEC_FLAG_QSCALE;
        context->qmin = 1;
        context->global_quality = frame->quality = FF_QP2LAMBDA * scale;
        frame->color_range = AVCOL_RANGE_JPEG;
    }
    frame->pts = 0;
    const PacketPtr packet = new_packet();
    if (avcodec_open2(context.get(), codec, nullptr) < 0 ||
        avcodec_send_frame(context.get(), frame.get()) < 0 ||
        avcodec_send_frame(context.get(), nullptr) < 0 ||
        avcodec_receive_packet(context.get(), packet.get()) < 0) {
        return encoder_failed(name);
    }
    return std::vector<std::uint8_t>(packet->data, packet->data + packet->size);
}

}  // namespace

base::Result<std::vector<std::uint8_t>> encode_png(const RgbaImage& image) {
    if (!is_sound(image)) return not_an_image();
    return encode(image, AV_CODEC_ID_PNG, is_opaque(image) ? AV_PIX_FMT_RGB24 : AV_PIX_FMT_RGBA, 0, "PNG");
}

base::Result<std::vector<std::uint8_t>> encode_jpeg(const RgbaImage& image, int quality) {
    if (!is_sound(image)) return not_an_image();
    if (quality < 1 || quality > 100)
        return bad(base::worded("The JPEG quality is 1 to 100, not {}.", quality));
    const int scale = 1 + (100 - quality) * 30 / 99;  // libav's quantiser scale: 1 best, 31 smallest
    return encode(image, AV_CODEC_ID_MJPEG, AV_PIX_FMT_YUVJ444P, scale, "JPEG");
}

base::Result<RgbaImage> scaled(const RgbaImage& image, int width, int height) {
    if (!is_sound(image)) return not_an_image();
    if (width < 1 || height < 1) return bad(base::worded("A picture cannot be scaled to nothing."));
    if (width == image.width && height == image.height) return image;
    const bool smaller = width <= image.width && height <= image.height;
    ScalerPtr scaler(sws_getContext(image.width, image.height, AV_PIX_FMT_RGBA, width, height,
                                    AV_PIX_FMT_RGBA, (smaller ? SWS_AREA : SWS_BICUBIC) | SWS_ACCURATE_RND,
                                    nullptr, nullptr, nullptr));
    if (!scaler) return bad(base::worded("The picture cannot be scaled to {} by {}.", width, height));
    RgbaImage result{width, height, {}};
    result.pixels.resize(4 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    const std::uint8_t* const from[4] = {image.pixels.data()};
    const int from_strides[4] = {4 * image.width};
    std::uint8_t* const to[4] = {result.pixels.data()};
    const int to_strides[4] = {4 * width};
    if (sws_scale(scaler.get(), from, from_strides, 0, image.height, to, to_strides) != height) {
        return base::Error{
            Category::io, base::worded("Scaling the picture failed; memory may be short."), {}};
    }
    return result;
}

base::Result<RgbaImage> fitted(const RgbaImage& image, int max_width, int max_height) {
    if (!is_sound(image)) return not_an_image();
    if (max_width < 1 || max_height < 1) return bad(base::worded("A picture cannot be scaled to nothing."));
    if (image.width <= max_width && image.height <= max_height) return image;
    const auto w = static_cast<std::int64_t>(image.width), h = static_cast<std::int64_t>(image.height);
    if (w * max_height >= h * max_width) {
        return scaled(image, max_width,
                      static_cast<int>(std::max<std::int64_t>(1, (h * max_width + w / 2) / w)));
    }
    return scaled(image, static_cast<int>(std::max<std::int64_t>(1, (w * max_height + h / 2) / h)),
                  max_height);
}

base::Result<RgbaImage> cropped(const RgbaImage& image, int x, int y, int width, int height) {
    if (!is_sound(image)) return not_an_image();
    const auto right = std::min<std::int64_t>(std::int64_t{x} + width, image.width);
    const auto bottom = std::min<std::int64_t>(std::int64_t{y} + height, image.height);
    const int left = std::max(x, 0), top = std::max(y, 0);
    if (right <= left || bottom <= top) return bad(base::worded("The cut lies outside the picture."));
    RgbaImage part{static_cast<int>(right - left), static_cast<int>(bottom - top), {}};
    part.pixels.resize(4 * static_cast<std::size_t>(part.width) * static_cast<std::size_t>(part.height));
    const auto row = 4 * static_cast<std::size_t>(part.width);
    for (int line = 0; line < part.height; ++line) {
        const auto from = 4 * (static_cast<std::size_t>(top + line) * static_cast<std::size_t>(image.width) +
                               static_cast<std::size_t>(left));
        std::memcpy(&part.pixels[row * static_cast<std::size_t>(line)], &image.pixels[from], row);
    }
    return part;
}

}  // namespace plumbmark::media
