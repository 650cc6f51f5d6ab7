#include "media/picture.h"

#include "base/check.h"
#include "media/internal/libav.h"

extern "C" {
#include <libavutil/md5.h>
}

namespace plumbmark::media {
namespace {

ChromaLayout chroma_of(const AVPixFmtDescriptor& format) {
    if (format.flags & AV_PIX_FMT_FLAG_RGB) return ChromaLayout::rgb;
    if (format.nb_components < 3) return ChromaLayout::none;
    const int w = format.log2_chroma_w, h = format.log2_chroma_h;
    if (w == 0 && h == 0) return ChromaLayout::c444;
    if (w == 1 && h == 1) return ChromaLayout::c420;
    if (w == 1 && h == 0) return ChromaLayout::c422;
    if (w == 0 && h == 1) return ChromaLayout::c440;
    if (w == 2 && h == 0) return ChromaLayout::c411;
    if (w == 2 && h == 2) return ChromaLayout::c410;
    return ChromaLayout::other;
}

ColourMatrix matrix_of(AVColorSpace space) {
    switch (space) {
        case AVCOL_SPC_UNSPECIFIED:
        case AVCOL_SPC_RESERVED:
            return ColourMatrix::untagged;
        case AVCOL_SPC_RGB:
            return ColourMatrix::rgb;
        case AVCOL_SPC_BT709:
            return ColourMatrix::bt709;
        case AVCOL_SPC_BT470BG:
        case AVCOL_SPC_SMPTE170M:
            return ColourMatrix::bt601;
        case AVCOL_SPC_FCC:
            return ColourMatrix::fcc;
        case AVCOL_SPC_SMPTE240M:
            return ColourMatrix::smpte240m;
        case AVCOL_SPC_BT2020_NCL:
        case AVCOL_SPC_BT2020_CL:
            return ColourMatrix::bt2020;
        case AVCOL_SPC_YCGCO:
            return ColourMatrix::ycgco;
        default:
            return ColourMatrix::other;
    }
}

Transfer transfer_of(AVColorTransferCharacteristic transfer) {
    switch (transfer) {
        case AVCOL_TRC_UNSPECIFIED:
        case AVCOL_TRC_RESERVED:
        case AVCOL_TRC_RESERVED0:
            return Transfer::untagged;
        case AVCOL_TRC_SMPTE2084:
            return Transfer::pq;
        case AVCOL_TRC_ARIB_STD_B67:
            return Transfer::hlg;
        case AVCOL_TRC_LINEAR:
            return Transfer::linear;
        case AVCOL_TRC_BT709:
        case AVCOL_TRC_GAMMA22:
        case AVCOL_TRC_GAMMA28:
        case AVCOL_TRC_SMPTE170M:
        case AVCOL_TRC_IEC61966_2_1:
        case AVCOL_TRC_BT2020_10:
        case AVCOL_TRC_BT2020_12:
            return Transfer::sdr;
        default:
            return Transfer::other;
    }
}

Primaries primaries_of(AVColorPrimaries primaries) {
    switch (primaries) {
        case AVCOL_PRI_UNSPECIFIED:
        case AVCOL_PRI_RESERVED:
        case AVCOL_PRI_RESERVED0:
            return Primaries::untagged;
        case AVCOL_PRI_BT709:
            return Primaries::bt709;
        case AVCOL_PRI_BT2020:
            return Primaries::bt2020;
        case AVCOL_PRI_SMPTE431:
        case AVCOL_PRI_SMPTE432:
            return Primaries::p3;
        default:
            return Primaries::other;
    }
}

ChromaSite chroma_site_of(AVChromaLocation site) {
    switch (site) {
        case AVCHROMA_LOC_LEFT:
            return ChromaSite::left;
        case AVCHROMA_LOC_CENTER:
            return ChromaSite::centre;
        case AVCHROMA_LOC_TOPLEFT:
            return ChromaSite::top_left;
        case AVCHROMA_LOC_TOP:
            return ChromaSite::top;
        case AVCHROMA_LOC_BOTTOMLEFT:
            return ChromaSite::bottom_left;
        case AVCHROMA_LOC_BOTTOM:
            return ChromaSite::bottom;
        default:
            return ChromaSite::untagged;
    }
}

// The 'yuvj' formats say full range by their name.
bool is_full_by_format(AVPixelFormat format) {
    return format == AV_PIX_FMT_YUVJ420P || format == AV_PIX_FMT_YUVJ422P || format == AV_PIX_FMT_YUVJ444P ||
           format == AV_PIX_FMT_YUVJ440P || format == AV_PIX_FMT_YUVJ411P;
}

ColourRange range_of(const AVFrame& frame) {
    if (is_full_by_format(static_cast<AVPixelFormat>(frame.format))) return ColourRange::full;
    const AVColorRange range = stated(frame.color_range);
    if (range == AVCOL_RANGE_JPEG) return ColourRange::full;
    return range == AVCOL_RANGE_MPEG ? ColourRange::limited : ColourRange::untagged;
}

}  // namespace

Picture::Picture(std::unique_ptr<NativeFrame> native, int quarter_turns, bool mirrored,
                 base::Rational pixel_aspect)
    : native_(std::move(native)),
      quarter_turns_(quarter_turns),
      mirrored_(mirrored),
      pixel_aspect_(pixel_aspect) {
    const AVFrame& frame = *native_->frame;
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor* descriptor = av_pix_fmt_desc_get(format);
    PLUMBMARK_CHECK(descriptor != nullptr);
    width_ = frame.width;
    height_ = frame.height;
    format_ = descriptor->name;
    bit_depth_ = descriptor->comp[0].depth;
    planes_ = av_pix_fmt_count_planes(format);
    chroma_ = chroma_of(*descriptor);
    matrix_ = chroma_ == ChromaLayout::rgb ? ColourMatrix::rgb : matrix_of(stated(frame.colorspace));
    range_ = range_of(frame);
    transfer_ = transfer_of(stated(frame.color_trc));
    primaries_ = primaries_of(stated(frame.color_primaries));
    chroma_site_ = chroma_site_of(stated(frame.chroma_location));
    key_ = is_key(frame);
    damaged_ = frame.decode_error_flags != 0 || (frame.flags & AV_FRAME_FLAG_CORRUPT) != 0;
    for (const AVBufferRef* buffer : frame.buf)
        bytes_ += buffer ? buffer->size : 0;
}

Picture::~Picture() = default;

bool Picture::in_pool() const {
    return native_->in_pool;
}

const std::uint8_t* Picture::plane(int plane) const {
    PLUMBMARK_CHECK(plane >= 0 && plane < planes_);
    return native_->frame->data[plane];
}

std::ptrdiff_t Picture::stride(int plane) const {
    PLUMBMARK_CHECK(plane >= 0 && plane < planes_);
    return native_->frame->linesize[plane];
}

int Picture::plane_height(int plane) const {
    PLUMBMARK_CHECK(plane >= 0 && plane < planes_);
    const AVPixFmtDescriptor* descriptor =
        av_pix_fmt_desc_get(static_cast<AVPixelFormat>(native_->frame->format));
    return plane == 1 || plane == 2 ? AV_CEIL_RSHIFT(height_, descriptor->log2_chroma_h) : height_;
}

std::vector<std::uint8_t> packed_bytes(const Picture& picture) {
    const AVFrame& frame = *picture.native().frame;
    const auto format = static_cast<AVPixelFormat>(frame.format);
    const int size = av_image_get_buffer_size(format, frame.width, frame.height, 1);
    if (size <= 0) return {};
    std::vector<std::uint8_t> bytes(static_cast<std::size_t>(size));
    av_image_copy_to_buffer(bytes.data(), size, frame.data, frame.linesize, format, frame.width, frame.height,
                            1);
    return bytes;
}

std::string md5_hex(const Picture& picture) {
    const auto bytes = packed_bytes(picture);
    std::uint8_t sum[16];
    av_md5_sum(sum, bytes.data(), bytes.size());
    static constexpr char digits[] = "0123456789abcdef";
    std::string text;
    for (const std::uint8_t byte : sum)
        text += {digits[byte >> 4], digits[byte & 15]};
    return text;
}

}  // namespace plumbmark::media
