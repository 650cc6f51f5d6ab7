// Rulings written down by hand, so that what is printed can be held against them without the engine.
#pragma once

#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::test {

/// Four stations of the Pier Nine Youth Open, two cameras at 60 frames a second (camera B starts 2 s late):
/// bollard hop CLEAR, hawser swing CLEAR with the smaller margin, net traverse NOT SHOWN and under appeal,
/// keel beam NOT REACHED.
[[nodiscard]] report::RulingDocument pier_nine();

/// The same run with net traverse FAIL: the left foot came onto the floor.
[[nodiscard]] report::RulingDocument pier_nine_failed();

/// The time of a frame on the cameras of pier_nine().
[[nodiscard]] base::Time frame_time(std::int64_t frame);
/// A bracket of two neighbouring frames: not yet at 'frame', it had at the next.
[[nodiscard]] ruling::Shown between(std::int64_t clip, std::int64_t frame);

/// A picture of one colour with a lighter lower half.
[[nodiscard]] media::RgbaImage plain_picture(int width, int height);
/// The two stills of a pair with an outline, a plane and a spot over them.
[[nodiscard]] std::vector<report::Still> stills_for(const report::StillPair& pair);

/// The stills of every pair that the document's sheet wants.
[[nodiscard]] std::vector<report::Still> all_stills(const report::RulingDocument& document);

/// Names that try to break out of text, attributes, style and script.
inline constexpr const char* kHostile = R"(</style><script>alert(1)</script><img src=x onerror='a()'>"&amp;)";

}  // namespace plumbmark::test
