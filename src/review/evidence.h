// From marks on frames to evidence in time: the one place where frame numbers become the times a ruling rests
// on.
#pragma once

#include <functional>
#include <memory>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "media/frame_table.h"
#include "meet/changes.h"
#include "ruling/evidence.h"

namespace plumbmark::review {

/// The row delay of a clip whose camera is not known: the longest read-out time of published measurements on
/// phone cameras, 32.67 ms (Oth et al., Rolling Shutter Camera Calibration, CVPR 2013, and the measurements
/// listed beside it), rounded up: two marks of such a clip, on unknown rows of the picture, may differ by up
/// to this either way.
inline constexpr base::Duration kDefaultRowDelay{33'000'000};

/// Evidence of one run, and which stored clip each ruling::ClipIndex stands for.
struct RunEvidence {
    ruling::Evidence evidence;
    std::vector<meet::ClipId> clips;
};

/// Gives the frame table of a clip, or null while there is none.
using TableOf = std::function<std::shared_ptr<const media::FrameTable>(meet::ClipId)>;

/// The capture time of a frame of this clip (meet/capture.h); of an ordinary clip the floor of its
/// presentation time stamp in the clip's time base. The same integer wherever the frame is named.
[[nodiscard]] base::Time frame_time(const meet::Clip& clip, const meet::FrameRef& frame);

/// The capture times of these frames of the clip, ascending, each instant once: what ruling::ClipFacts wants
/// of all its frames.
[[nodiscard]] std::vector<base::Time> frame_times(const meet::Clip& clip,
                                                  const std::vector<meet::FrameRef>& frames);

/// Collects the run's marks, contact statements and watched spans under the book. Where a clip has no table,
/// its frame times are those that the marks name, so that a ruling can still be reached when a clip's file is
/// away. Times are capture times. Durations on a clip are known where no unknown stretch of its capture time
/// lies between the first and the last frame that anything of the run names. Where the stored clip has
/// repeated pictures, the early end of a bracket, the frame of a contact statement and the end of a watched
/// span go back to the first of the equal frames, and the beginning of a span does over exact repetitions; a
/// span that then holds no new picture vouches for nothing and is left out. 'default_row_delay' is that of
/// clips whose own is not known. An instant that was measured and taken into a mark narrows its bracket on
/// that clip, and where a clip's row delay and the form of its picture are known so does the row of a mark's
/// spot; the row delay is not added to either. Errors: not_found (no such run), bad_input (a mark names a
/// surface or plane that the book does not declare, or a frame that the clip does not have). Pure.
[[nodiscard]] base::Result<RunEvidence> run_evidence(const meet::State& state, meet::RunId run,
                                                     const course::CourseBook& book, const TableOf& table_of,
                                                     base::Duration default_row_delay = kDefaultRowDelay);

/// Which frames of a mark, contact statement or watched span stood for an earlier one: "f 12 of camera A
/// shows f 10 again"; empty when none did. Pure.
[[nodiscard]] std::string repeats_words(const meet::State& state, meet::MarkId id);

}  // namespace plumbmark::review
