#include "media/colour.h"

#include <bit>
#include <cmath>
#include <string>

#include "media/internal/frame_samples.h"

namespace plumbmark::media {
namespace {

using Row = std::array<double, 4>;

struct LumaWeights {
    double red, blue;
};

LumaWeights weights_of(const Picture& tags) {
    switch (tags.matrix()) {
        case ColourMatrix::bt601:
            return {0.299, 0.114};
        case ColourMatrix::bt709:
            return {0.2126, 0.0722};
        case ColourMatrix::bt2020:
            return {0.2627, 0.0593};
        case ColourMatrix::smpte240m:
            return {0.212, 0.087};
        case ColourMatrix::fcc:
            return {0.30, 0.11};
        default:
            return tags.height() < 720 ? LumaWeights{0.299, 0.114} : LumaWeights{0.2126, 0.0722};
    }
}

// Stored number to the signal's own scale: signal = slope * stored + start.
struct Line {
    double slope, start;
};

struct Scales {
    Line luma, colour;
};

// H.273, equations 20 to 31, turned round. 'shift' is how far the stored number is moved up.
Scales scales_of(int bits, int shift, bool full) {
    const double unit = std::exp2(bits - 8), most = std::exp2(bits) - 1, moved = std::exp2(-shift);
    const double luma = full ? most : 219 * unit, colour = full ? most : 224 * unit;
    return {{moved / luma, full ? 0 : -16 * unit / luma}, {moved / colour, -128 * unit / colour}};
}

// Each row: what luma, Cb and Cr on their own scales give to R', G' and B'.
std::array<std::array<double, 3>, 3> decoding_matrix(const Picture& tags) {
    if (tags.matrix() == ColourMatrix::ycgco) return {{{1, -1, 1}, {1, 1, 0}, {1, -1, -1}}};
    const LumaWeights k = weights_of(tags);
    const double green = 1 - k.red - k.blue, red = 2 * (1 - k.red), blue = 2 * (1 - k.blue);
    return {{{1, 0, red}, {1, -k.blue * blue / green, -k.red * red / green}, {1, blue, 0}}};
}

std::array<Row, 3> to_rgb_rows(const Picture& tags, const Scales& scales, bool rgb, bool grey) {
    const Line& luma = scales.luma;
    std::array<Row, 3> rows{};
    const auto matrix = decoding_matrix(tags);
    for (std::size_t i = 0; i < 3; ++i) {
        if (rgb) {
            rows[i][i] = luma.slope;
        } else if (grey) {
            rows[i] = {luma.slope, 0, 0, luma.start};
        } else {
            const auto& m = matrix[i];
            rows[i] = {m[0] * luma.slope, m[1] * scales.colour.slope, m[2] * scales.colour.slope,
                       m[0] * luma.start + (m[1] + m[2]) * scales.colour.start};
        }
    }
    return rows;
}

ChromaSite site_used(const Picture& tags, bool full) {
    if (tags.chroma_site() != ChromaSite::untagged) return tags.chroma_site();
    return full ? ChromaSite::centre : ChromaSite::left;
}

void place_colour(Samples& samples, ChromaSite site) {
    const bool at_left =
        site == ChromaSite::left || site == ChromaSite::top_left || site == ChromaSite::bottom_left;
    const bool at_top = site == ChromaSite::top || site == ChromaSite::top_left;
    const bool at_bottom = site == ChromaSite::bottom || site == ChromaSite::bottom_left;
    const double last_x = (1 << samples.shift_x) - 1, last_y = (1 << samples.shift_y) - 1;
    samples.chroma_x = at_left ? 0 : last_x / 2;
    samples.chroma_y = at_top ? 0 : at_bottom ? last_y : last_y / 2;
}

bool is_described(const AVPixFmtDescriptor& format) {
    constexpr std::uint64_t others = AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM |
                                     AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_BAYER;
    if ((format.flags & others) != 0) return false;
    const bool big_endian = (format.flags & AV_PIX_FMT_FLAG_BE) != 0;
    if (format.comp[0].depth > 8 && big_endian != (std::endian::native == std::endian::big)) return false;
    const int bytes = (format.comp[0].depth + format.comp[0].shift + 7) / 8;
    if (bytes > 2 || format.log2_chroma_w > 2 || format.log2_chroma_h > 2) return false;
    const int parts = format.nb_components >= 3 ? 3 : 1;
    for (int c = 0; c < parts; ++c) {
        const AVComponentDescriptor& part = format.comp[c];
        const bool shares = c > 0 && parts == 3 && format.comp[1].plane == format.comp[2].plane;
        if (part.depth != format.comp[0].depth || part.shift != format.comp[0].shift) return false;
        if (part.step != (shares ? 2 * bytes : bytes) || part.plane > 2) return false;
    }
    return parts == 1 || format.comp[0].plane != format.comp[1].plane;
}

}  // namespace

std::optional<Samples> samples_in(const AVFrame& frame, const Picture& tags) {
    const AVPixFmtDescriptor* format = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    if (!format || !is_described(*format)) return std::nullopt;
    const bool rgb = (format->flags & AV_PIX_FMT_FLAG_RGB) != 0, grey = format->nb_components < 3;
    const bool full = tags.range() == ColourRange::full;
    const int bits = format->comp[0].depth, shift = format->comp[0].shift;
    Samples samples;
    samples.width = frame.width;
    samples.height = frame.height;
    samples.shift_x = rgb || grey ? 0 : format->log2_chroma_w;
    samples.shift_y = rgb || grey ? 0 : format->log2_chroma_h;
    for (std::size_t c = 0; c < (grey ? 1U : 3U); ++c) {
        const AVComponentDescriptor& part = format->comp[c];
        const int bytes = (bits + shift + 7) / 8;
        samples.part[c] = {part.plane, part.offset / bytes};
        samples.planes = std::max(samples.planes, part.plane + 1);
        SamplePlane& plane = samples.plane[static_cast<std::size_t>(part.plane)];
        plane.data = frame.data[part.plane];
        plane.stride = frame.linesize[part.plane];
        plane.width = c == 0 ? frame.width : AV_CEIL_RSHIFT(frame.width, samples.shift_x);
        plane.height = c == 0 ? frame.height : AV_CEIL_RSHIFT(frame.height, samples.shift_y);
        plane.bytes = bytes;
        plane.together = part.step / bytes;
    }
    place_colour(samples, site_used(tags, full));
    samples.to_rgb = to_rgb_rows(tags, scales_of(bits, shift, full || rgb), rgb, grey);
    samples.primaries = tags.primaries();
    if (tags.transfer() == Transfer::hlg) samples.display = Display::hlg;
    if (tags.transfer() == Transfer::pq) samples.display = Display::pq;
    return samples;
}

std::optional<Samples> samples_of(const Picture& picture) {
    return samples_in(*picture.native().frame, picture);
}

AVPixelFormat planar_twin(AVPixelFormat format) {
    const AVPixFmtDescriptor* from = av_pix_fmt_desc_get(format);
    constexpr std::uint64_t others = AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM |
                                     AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_BAYER |
                                     AV_PIX_FMT_FLAG_RGB;
    if (!from || (from->flags & others) != 0 || std::string(from->name).starts_with("xyz"))
        return AV_PIX_FMT_NONE;
    const int bits = from->comp[0].depth;
    std::string name = "gray";
    if (from->nb_components >= 3) {
        static constexpr const char* kinds[3][3] = {
            {"444", "440", ""}, {"422", "420", ""}, {"411", "", "410"}};
        if (from->log2_chroma_w > 2 || from->log2_chroma_h > 2) return AV_PIX_FMT_NONE;
        name = std::string("yuv") + kinds[from->log2_chroma_w][from->log2_chroma_h] + "p";
    }
    if (bits > 8) name += std::to_string(bits) + (std::endian::native == std::endian::big ? "be" : "le");
    return av_get_pix_fmt(name.c_str());
}

}  // namespace plumbmark::media
