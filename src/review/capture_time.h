// A clip's capture time where its frames are at hand: what the file says of it, what the reviewer says, and
// which frame stands at which time.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "base/result.h"
#include "media/frame_table.h"
#include "meet/values.h"

namespace plumbmark::review {

/// What holds of a clip: the reviewer's word; where there is none, 'as shown', or 'unknown' throughout where
/// the file says that it shows its pictures at another rate than they were taken at.
[[nodiscard]] meet::CaptureMap capture_in_force(const meet::Clip& clip);

/// The rates where the file states the one it was recorded at (ClipInfo::capture_rate) and shows its pictures
/// at another; none elsewhere.
[[nodiscard]] std::optional<meet::Rates> slowed_by_file(const media::FrameTable& table);

/// The pictures a second at which frames from 'first' to before 'past' are shown: one over the mean of those
/// gaps that are like the middle one, so that dropped frames do not count. Where a usual rate (24, 25, 30,
/// 50, 60, 100, 120, 240, and 1000/1001 of those that television uses so) fits the file's ticks as well, that
/// one. None where there are fewer than two frames or no time passes between them.
[[nodiscard]] std::optional<base::Rational> shown_rate(const media::FrameTable& table, std::int64_t first,
                                                       std::int64_t past);

/// The map as a reviewer gave it, with time stamps, and with shown rates measured where it has none. Error
/// bad_input: a frame that the clip does not have, a stretch too short to measure its rate, a rate out of
/// range.
[[nodiscard]] base::Result<meet::CaptureMap> completed(const meet::CaptureMap& given,
                                                       const media::FrameTable& table);

/// The capture time of a frame of the table, 0 <= frame < size, and the last frame at or before a capture
/// time, -1 when it lies before all of them.
[[nodiscard]] base::Time captured_at(const meet::Clip& clip, const media::FrameTable& table,
                                     std::int64_t frame);
[[nodiscard]] std::int64_t frame_captured_at(const meet::Clip& clip, const media::FrameTable& table,
                                             base::Time t);

/// For people: "capture time: as given by the reviewer, 240 pictures a second, shown at 30"; where the file
/// alone speaks: "the file says: recorded at 240 pictures a second, shown at 30; durations on this clip count
/// when the reviewer confirms it"; empty for an ordinary clip.
[[nodiscard]] std::string capture_sentence(const meet::Clip& clip);
/// "12 repeated pictures, 3 of them nearly equal"; empty when there are none, or nobody has looked.
[[nodiscard]] std::string repeated_sentence(const meet::Clip& clip);

}  // namespace plumbmark::review
