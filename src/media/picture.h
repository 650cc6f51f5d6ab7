// One decoded picture in the decoder's own planes, and its conversion to RGBA.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "base/time.h"

namespace plumbmark::media {

struct NativeFrame;  // the decoder's frame; known inside this module only

/// How colour samples lie to the luma samples.
enum class ChromaLayout { none, c420, c422, c444, c440, c411, c410, rgb, other };

/// The matrix that takes Y'CbCr to R'G'B'. 'untagged' is what the file says, not what is used (see to_rgba).
enum class ColourMatrix { untagged, rgb, bt601, bt709, bt2020, smpte240m, fcc, ycgco, other };

/// limited: luma 16 to 235 (at 8 bits); full: 0 to 255.
enum class ColourRange { untagged, limited, full };

/// Light-to-code curve, as tagged.
enum class Transfer { untagged, sdr, pq, hlg, linear, other };

/// The colours that R, G and B stand for, as tagged: ITU-R BT.709, BT.2020, or P3 (SMPTE RP 431-2, EG 432-1).
enum class Primaries { untagged, bt709, bt2020, p3, other };

/// Where the first colour sample lies among the luma samples that it is for, as tagged (ITU-T H.273, 8.7):
/// on the left column half-way down, in the middle, on the first luma sample, and so on.
enum class ChromaSite { untagged, left, centre, top_left, top, bottom_left, bottom };

/// A decoded picture. Immutable, so it may be read from any number of threads at once; it is handed around as
/// shared_ptr<const Picture> and frees its planes with the last owner.
class Picture {
  public:
    /// Takes over the decoder's frame; only inside this module. Rotation and aspect come from the clip.
    Picture(std::unique_ptr<NativeFrame> native, int quarter_turns, bool mirrored,
            base::Rational pixel_aspect);
    ~Picture();
    Picture(const Picture&) = delete;
    Picture& operator=(const Picture&) = delete;

    [[nodiscard]] int width() const { return width_; }                   ///< pixels, before rotation
    [[nodiscard]] int height() const { return height_; }                 ///< pixels, before rotation
    [[nodiscard]] const std::string& format() const { return format_; }  ///< "yuv420p", "yuv420p10le", ...
    [[nodiscard]] int bit_depth() const { return bit_depth_; }           ///< bits of the first component
    [[nodiscard]] ChromaLayout chroma() const { return chroma_; }
    [[nodiscard]] ColourMatrix matrix() const { return matrix_; }
    [[nodiscard]] ColourRange range() const { return range_; }
    [[nodiscard]] Transfer transfer() const { return transfer_; }
    [[nodiscard]] Primaries primaries() const { return primaries_; }
    [[nodiscard]] ChromaSite chroma_site() const { return chroma_site_; }
    [[nodiscard]] int quarter_turns() const {
        return quarter_turns_;
    }  ///< clockwise, after mirroring, to be upright
    [[nodiscard]] bool mirrored() const { return mirrored_; }
    [[nodiscard]] base::Rational pixel_aspect() const { return pixel_aspect_; }
    [[nodiscard]] bool key() const { return key_; }
    [[nodiscard]] bool damaged() const { return damaged_; }  ///< the decoder had to make part of it up

    [[nodiscard]] int planes() const { return planes_; }  ///< 1 to 4
    /// First byte of a plane and bytes from one line to the next (may be negative). 0 <= plane < planes().
    [[nodiscard]] const std::uint8_t* plane(int plane) const;
    [[nodiscard]] std::ptrdiff_t stride(int plane) const;
    [[nodiscard]] int plane_height(int plane) const;  ///< lines
    /// Memory that this picture keeps alive, in bytes.
    [[nodiscard]] std::size_t bytes() const { return bytes_; }
    /// Upright size: after rotation, pixel aspect not applied.
    [[nodiscard]] int upright_width() const { return quarter_turns_ % 2 == 0 ? width_ : height_; }
    [[nodiscard]] int upright_height() const { return quarter_turns_ % 2 == 0 ? height_ : width_; }

    [[nodiscard]] const NativeFrame& native() const { return *native_; }  ///< only inside this module
    [[nodiscard]] bool in_pool() const;                                   ///< only inside this module

  private:
    std::unique_ptr<NativeFrame> native_;
    int width_ = 0, height_ = 0, bit_depth_ = 8, planes_ = 0;
    std::string format_;
    ChromaLayout chroma_ = ChromaLayout::other;
    ColourMatrix matrix_ = ColourMatrix::untagged;
    ColourRange range_ = ColourRange::untagged;
    Transfer transfer_ = Transfer::untagged;
    Primaries primaries_ = Primaries::untagged;
    ChromaSite chroma_site_ = ChromaSite::untagged;
    int quarter_turns_ = 0;
    bool mirrored_ = false, key_ = false, damaged_ = false;
    base::Rational pixel_aspect_{1, 1};
    std::size_t bytes_ = 0;
};

/// Eight-bit R, G, B, A, row by row from the top left, no padding: pixels.size() == 4 * width * height.
struct RgbaImage {
    int width = 0, height = 0;
    std::vector<std::uint8_t> pixels;
    friend bool operator==(const RgbaImage&, const RgbaImage&) = default;
};

enum class Orientation {
    upright,  ///< mirror and rotation of the file applied
    stored,   ///< as the decoder delivers it
};

/// The picture as an SDR display with BT.709 colours shows it, in R'G'B', alpha 255. samples_of() in
/// media/colour.h says by which matrix, range and colour sample position, and what is done where the file
/// does not say; HLG and PQ are brought to SDR as media/hdr.h says, and every other transfer curve and set of
/// primaries is left alone: its code values are kept. Colour samples are interpolated linearly between their
/// places and repeated beyond the outermost ones. Each value is the exact one rounded to 8 bits, to within
/// 0.51 of a code value (HLG and PQ: 0.55, and what 0.0005 of the white's light make up, which near black are
/// some code values); R'G'B' formats that samples_of() does not describe go through libswscale and can be 1
/// away. Pixel aspect is not applied. An empty image when the format cannot be converted or memory is short.
/// Large pictures are converted on up to four threads. Any thread.
[[nodiscard]] RgbaImage to_rgba(const Picture& picture, Orientation orientation = Orientation::upright);

/// The same into an image that may have been used before: its memory is used again when the size is the same.
/// False, and an empty image, where to_rgba() gives an empty one.
bool to_rgba(const Picture& picture, Orientation orientation, RgbaImage& into);

/// MD5 in lower-case hexadecimal over the decoder's own planes without padding: what ffmpeg's framemd5 muxer
/// prints for the frame (its rawvideo packing of the decoder's own pixel format). Any thread.
[[nodiscard]] std::string md5_hex(const Picture& picture);

/// The same bytes that md5_hex hashes: planes one after another, rows without padding.
[[nodiscard]] std::vector<std::uint8_t> packed_bytes(const Picture& picture);

}  // namespace plumbmark::media
