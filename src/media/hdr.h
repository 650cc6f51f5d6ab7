// HLG and PQ on an SDR display: the curves, as tables that the processor and a shader both look up.
//
// 1. R'G'B' to light. PQ: the EOTF of ITU-R BT.2100-2, table 4. HLG: the inverse OETF of table 5 and the OOTF
//    with system gamma 1.2, which belongs to its nominal peak of 1000 cd/m2.
// 2. 1000 cd/m2 down to 100 cd/m2 by the EETF of ITU-R BT.2390 (section 5.4.1 in its edition 8), black level
// 0.
//    It is applied to the largest of R, G and B and scales all three alike, so that hues stay. PQ content
//    that goes beyond 1000 cd/m2 is cut there; mastering metadata is not looked at, so that a frame looks the
//    same however it was reached.
// 3. The primaries to those of BT.709 (matrix from their chromaticities, as ITU-R BT.2087-0 does for
// BT.2020);
//    colours outside are cut.
// 4. Light to the code of an SDR display: the inverse of ITU-R BT.1886's EOTF, gamma 2.4, black level 0.
//
// So what is darker than about 29 cd/m2 keeps its light, and the HDR reference white of ITU-R BT.2408 (203
// cd/m2) stands at about 95 % of the SDR code.
#pragma once

#include <array>
#include <vector>

#include "media/colour.h"

namespace plumbmark::media {

/// A function of 0 to 1, sampled at i / (kHdrSteps - 1): value = table[int(x * (kHdrSteps - 1) + 0.5)].
constexpr int kHdrSteps = 128 * 128;
using HdrTable = std::vector<float>;

/// How to use them, for R'G'B' cut to 0 to 1 (all in single precision):
///   e = light[rgb]                                       each of the three
///   e = e * ootf[sqrt(min(1, weight . e))]               HLG only
///   m = max(e);  e = e * gain[sqrt(min(1, m))] / max(1, m)
///   o = cut(to_709 e);  shown = code[sqrt(o)]
struct HdrTables {
    HdrTable light;  ///< HLG: scene light, 1 at code 1. PQ: light in 1000 cd/m2, up to 10
    HdrTable ootf;   ///< HLG: by the root of the scene's luminance; to light in 1000 cd/m2. PQ: empty
    HdrTable gain;   ///< by the root of the largest light: EETF over light, in 100 cd/m2 a 1000 cd/m2
    HdrTable code;   ///< by the root of the light in 100 cd/m2: R'G'B' of the SDR display
};

/// The tables, made at the first use and kept; display is hlg or pq. Any thread.
[[nodiscard]] const HdrTables& hdr_tables(Display display);

/// Rows that take linear R, G and B of these primaries to BT.709's; 'untagged' and 'other' are taken as
/// BT.2020, which HLG and PQ are defined with (ITU-R BT.2100-2, table 2). Any thread.
[[nodiscard]] std::array<std::array<double, 3>, 3> to_bt709(Primaries primaries);

/// What each of R, G and B of these primaries gives to the luminance; as for to_bt709. Any thread.
[[nodiscard]] std::array<double, 3> luminance_weights(Primaries primaries);

}  // namespace plumbmark::media
