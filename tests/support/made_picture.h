// Pictures made of known samples in any format of libav, without a clip.
#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <random>
#include <vector>

#include "media/internal/libav.h"
#include "media/picture.h"

namespace plumbmark::test {

struct PictureTags {
    AVColorSpace matrix = AVCOL_SPC_UNSPECIFIED;
    AVColorRange range = AVCOL_RANGE_UNSPECIFIED;
    AVChromaLocation site = AVCHROMA_LOC_UNSPECIFIED;
    AVColorTransferCharacteristic transfer = AVCOL_TRC_UNSPECIFIED;
    AVColorPrimaries primaries = AVCOL_PRI_UNSPECIFIED;
    int quarter_turns = 0;
    bool mirrored = false;
};

/// One component's numbers, row by row.
struct Component {
    int width = 0, height = 0;
    std::vector<std::uint16_t> samples;
    /// Outside the edges: the outermost sample.
    [[nodiscard]] double at(int x, int y) const {
        const int cx = std::min(std::max(x, 0), width - 1), cy = std::min(std::max(y, 0), height - 1);
        return samples[static_cast<std::size_t>(cy) * static_cast<std::size_t>(width) +
                       static_cast<std::size_t>(cx)];
    }
};

struct MadePicture {
    std::shared_ptr<const media::Picture> picture;
    std::array<Component, 3> parts;  ///< the numbers that went in
    int parts_count = 0, bits = 0, shift_x = 0, shift_y = 0;
    bool rgb = false;
};

/// A picture whose samples are 'number(part, x, y)', 0 to 2^bits - 1. libav's own writer packs them, so that
/// no knowledge of this project about formats goes into it. Beside the picture lie bytes that nobody should
/// read.
template <class Number>
MadePicture make_picture(AVPixelFormat format, int width, int height, const PictureTags& tags,
                         Number number) {
    const AVPixFmtDescriptor* descriptor = av_pix_fmt_desc_get(format);
    media::FramePtr frame = media::new_frame();
    frame->format = format;
    frame->width = width;
    frame->height = height;
    frame->colorspace = tags.matrix;
    frame->color_range = tags.range;
    frame->chroma_location = tags.site;
    frame->color_trc = tags.transfer;
    frame->color_primaries = tags.primaries;
    av_frame_get_buffer(frame.get(), 0);
    for (const AVBufferRef* buffer : frame->buf)
        if (buffer) std::fill_n(buffer->data, buffer->size, std::uint8_t{0x5A});
    // libav's writer sets bits and clears none.
    for (int plane = 0; plane < av_pix_fmt_count_planes(format); ++plane) {
        const bool colour = plane == 1 || plane == 2;
        const int rows = colour ? AV_CEIL_RSHIFT(height, descriptor->log2_chroma_h) : height;
        for (int y = 0; y < rows; ++y)
            std::fill_n(frame->data[plane] + static_cast<std::ptrdiff_t>(y) * frame->linesize[plane],
                        av_image_get_linesize(format, width, plane), std::uint8_t{0});
    }
    MadePicture made;
    made.rgb = (descriptor->flags & AV_PIX_FMT_FLAG_RGB) != 0;
    made.parts_count = descriptor->nb_components >= 3 ? 3 : 1;
    made.bits = descriptor->comp[0].depth;
    made.shift_x = descriptor->log2_chroma_w;
    made.shift_y = descriptor->log2_chroma_h;
    for (int c = 0; c < made.parts_count; ++c) {
        const bool colour = c > 0 && !made.rgb;
        Component& part = made.parts[static_cast<std::size_t>(c)];
        part.width = colour ? AV_CEIL_RSHIFT(width, made.shift_x) : width;
        part.height = colour ? AV_CEIL_RSHIFT(height, made.shift_y) : height;
        for (int y = 0; y < part.height; ++y)
            for (int x = 0; x < part.width; ++x)
                part.samples.push_back(static_cast<std::uint16_t>(number(c, x, y)));
        for (int y = 0; y < part.height; ++y)
            av_write_image_line2(part.samples.data() + static_cast<std::ptrdiff_t>(y) * part.width,
                                 frame->data, frame->linesize, descriptor, 0, y, c, part.width, 2);
    }
    auto native = std::make_unique<media::NativeFrame>();
    native->frame = std::move(frame);
    made.picture = std::make_shared<const media::Picture>(std::move(native), tags.quarter_turns,
                                                          tags.mirrored, base::Rational{1, 1});
    return made;
}

/// Any numbers at all, the same ones each time.
inline MadePicture noise_picture(AVPixelFormat format, int width, int height, const PictureTags& tags) {
    std::mt19937 random(2100);
    const int bits = av_pix_fmt_desc_get(format)->comp[0].depth;
    return make_picture(format, width, height, tags,
                        [&](int, int, int) { return random() & ((1U << bits) - 1); });
}

}  // namespace plumbmark::test
