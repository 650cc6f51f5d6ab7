// How a picture's samples become R'G'B': one description, carried out by the processor (to_rgba) and by a
// shader alike, so that both show the same colours.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

#include "media/picture.h"

namespace plumbmark::media {

/// One plane in the decoder's memory; it lives as long as the picture.
struct SamplePlane {
    const std::uint8_t* data = nullptr;  ///< the top left sample
    std::ptrdiff_t stride = 0;           ///< bytes from one line to the next; negative: bottom up
    int width = 0, height = 0;           ///< places with samples
    int bytes = 1;                       ///< of one sample: 1, or 2 in the machine's own order
    int together = 1;                    ///< samples side by side at one place: 2 where Cb and Cr alternate
};

/// Where one component is found: in which plane, and there as which of the samples at one place.
struct SamplePart {
    int plane = 0, channel = 0;
    friend bool operator==(const SamplePart&, const SamplePart&) = default;
};

/// What is done after the matrix.
enum class Display {
    codes,  ///< R'G'B' is shown as it is
    hlg,    ///< to SDR, media/hdr.h
    pq,     ///< to SDR, media/hdr.h
};

/// A picture's samples, as stored (before rotation), and the way to R'G'B'.
///
/// The components at luma sample (x, y) are the sample of part 0 there, and those of parts 1 and 2 at
/// ((x - chroma_x) / 2^shift_x, (y - chroma_y) / 2^shift_y) in their planes, interpolated linearly in both
/// directions and with the outermost samples repeated. R'G'B', 0 for black and 1 for white, is to_rgb applied
/// to them: row[0] to row[2] times the stored numbers, plus row[3]; then cut to 0 to 1.
struct Samples {
    int width = 0, height = 0;  ///< luma samples
    int planes = 0;             ///< 1: grey, and parts 1 and 2 count for nothing; 2; or 3
    std::array<SamplePlane, 3> plane{};
    std::array<SamplePart, 3> part{};
    int shift_x = 0, shift_y = 0;       ///< 0 to 2
    double chroma_x = 0, chroma_y = 0;  ///< where the first colour sample lies, in luma samples
    std::array<std::array<double, 4>, 3> to_rgb{};
    Display display = Display::codes;
    Primaries primaries = Primaries::bt709;  ///< for hlg and pq only
};

/// The description of a picture's samples. Nothing for formats whose samples do not lie in planes of their
/// own as whole bytes (packed, bit streams, palettes, floating point, the other byte order): to_rgba() takes
/// those through libswscale.
///
/// Matrix: the file's own (luma weights from ITU-T H.273, table 4: BT.709 item 1, FCC item 4, BT.601 items 5
/// and 6, SMPTE 240M item 7, BT.2020 items 9 and 10, the constant-luminance kind like the other one; YCgCo
/// item 8). Untagged or another: BT.601 for pictures of less than 720 lines and BT.709 from there (common
/// practice, no source). Range: the file's own (H.273, 8.3). Untagged: limited, except for the 'yuvj'
/// formats, which are full. R'G'B' is full in any case (common practice: encoders tag it 'limited' and store
/// it full). Colour sample position: the file's own. Untagged: in the middle of a full-range picture (as
/// JPEG's; ITU-T T.871, 10.1), else at the left, half-way down (as MPEG-2's; ITU-T H.264, figure E-1, type 0,
/// which is also what is inferred there). Only the axes count along which there are fewer colour samples.
/// Pictures are taken as whole frames: in interlaced 4:2:0 the colour samples of each field lie a little
/// elsewhere. Any thread.
[[nodiscard]] std::optional<Samples> samples_of(const Picture& picture);

}  // namespace plumbmark::media
