// How two decoded pictures differ: sample by sample, and by the mean of small blocks.
#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <limits>

#include "media/internal/libav.h"
#include "media/repeated_pictures.h"

namespace plumbmark::media {
namespace {

constexpr int kBlock = 4;

/// How the samples of a format lie in its planes.
struct Samples {
    int bytes = 1;     ///< per sample
    double scale = 1;  ///< code values of a sample for one of 8 bits
};

Samples samples_of(const AVPixFmtDescriptor& format) {
    const int bits = format.comp[0].depth + format.comp[0].shift;
    if (bits <= 8) return {1, 1};
    return {2, static_cast<double>(1 << (bits - 8))};
}

struct Plane {
    const std::uint8_t* before = nullptr;
    const std::uint8_t* after = nullptr;
    std::ptrdiff_t stride_before = 0, stride_after = 0;
    int row_bytes = 0, rows = 0;
};

bool same_bytes(const Plane& plane) {
    for (int y = 0; y < plane.rows; ++y) {
        if (std::memcmp(plane.before + y * plane.stride_before, plane.after + y * plane.stride_after,
                        static_cast<std::size_t>(plane.row_bytes)) != 0)
            return false;
    }
    return true;
}

/// The largest mean of a block, in code values of the samples. Blocks at the right and lower edge are those
/// that end there, so that every sample lies in a whole one; a plane smaller than a block is one block.
template <class Sample>
double largest_block_mean(const Plane& plane) {
    const int columns = plane.row_bytes / static_cast<int>(sizeof(Sample));
    const int width = std::min(kBlock, columns), height = std::min(kBlock, plane.rows);
    if (width == 0 || height == 0) return 0;
    int largest = 0;
    for (int top = 0; top < plane.rows; top += kBlock) {
        const int y0 = std::min(top, plane.rows - height);
        for (int left = 0; left < columns; left += kBlock) {
            const int x0 = std::min(left, columns - width);
            int sum = 0;
            for (int y = y0; y < y0 + height; ++y) {
                const auto* a = reinterpret_cast<const Sample*>(plane.before + y * plane.stride_before) + x0;
                const auto* b = reinterpret_cast<const Sample*>(plane.after + y * plane.stride_after) + x0;
                for (int x = 0; x < width; ++x)
                    sum += static_cast<int>(b[x]) - static_cast<int>(a[x]);
            }
            largest = std::max(largest, std::abs(sum));
        }
    }
    return static_cast<double>(largest) / (width * height);
}

}  // namespace

PictureChange picture_change(const Picture& before, const Picture& after) {
    PictureChange change{false, std::numeric_limits<double>::infinity()};
    const AVFrame& a = *before.native().frame;
    const AVFrame& b = *after.native().frame;
    if (a.format != b.format || a.width != b.width || a.height != b.height) return change;
    const auto format = static_cast<AVPixelFormat>(a.format);
    const AVPixFmtDescriptor* descriptor = av_pix_fmt_desc_get(format);
    if (!descriptor) return change;
    const Samples samples = samples_of(*descriptor);
    bool equal = true;
    double largest = 0;
    for (int p = 0; p < before.planes(); ++p) {
        const Plane plane{before.plane(p),
                          after.plane(p),
                          before.stride(p),
                          after.stride(p),
                          av_image_get_linesize(format, a.width, p),
                          before.plane_height(p)};
        if (plane.row_bytes < 0) return change;
        if (same_bytes(plane)) continue;
        equal = false;
        largest = std::max(largest, samples.bytes == 1 ? largest_block_mean<std::uint8_t>(plane)
                                                       : largest_block_mean<std::uint16_t>(plane));
    }
    const bool other_order = samples.bytes == 2 && (descriptor->flags & AV_PIX_FMT_FLAG_BE) != 0;
    const bool no_integers = (descriptor->flags & (AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_PAL)) != 0;
    change.equal = equal;
    if (equal)
        change.largest_block = 0;
    else if (!other_order && !no_integers)
        change.largest_block = largest / samples.scale;
    return change;
}

}  // namespace plumbmark::media
