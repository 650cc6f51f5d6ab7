// The instant of a crossing, measured between the frames; the reviewer's word makes it part of the mark.
#pragma once

#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "course/book.h"
#include "meet/changes.h"
#include "review/measures.h"
#include "sight/crossing.h"

namespace plumbmark::review {

struct MomentMeasure {
    meet::MeasuredMoment moment;  ///< what holds at 99.9 %, within the mark's own frames
    sight::Crossing crossing;     ///< seconds after the first frame that was pointed at
    base::Sentence says;          ///< "crosses 12.3 ms after f 120, 95 % between 10.1 and 14.6 ms"
    base::Sentence rests_on;
};

/// From where the mark, a crossing of a plane of the plan, was pointed at on two frames or more of one clip;
/// by two cameras where it was on two frames or more of another one that is tied to it. The rows of the
/// picture are reckoned with: with the clip's row delay where it is known, else with all that
/// kDefaultRowDelay leaves open. Errors: bad_input where the mark is no such crossing, or something of that
/// is missing, or the clip's capture time is not known there, or the instant lies outside the mark's own
/// frames; and what sight::crossing() refuses. Pure but for 'camera_at'; a tenth of a second or so.
[[nodiscard]] base::Result<MomentMeasure> measured_moment(const meet::State& state, const meet::Mark& mark,
                                                          const course::CourseBook& book,
                                                          const CameraAt& camera_at);

struct PointingThere {
    sight::Pointing pointing;
    std::optional<sight::Placing> placing;  ///< where both frames there were followed from one placing
};

/// Where the mark's point is in another clip's picture at the moment of one that was pointed at: between the
/// two frames there around it, as far off as the tie of the two clips, their rows and 50 millionths of drift
/// leave open. Errors: bad_input where the clips are not tied, or it was pointed at on one frame there only.
[[nodiscard]] base::Result<PointingThere> pointing_at_moment_of(const meet::State& state,
                                                                const meet::Mark& mark,
                                                                const meet::Pointed& one, meet::ClipId other,
                                                                const FoundCamera& camera);

/// One change with undo: the mark with its measured instant, or without it.
[[nodiscard]] meet::Change with_moment(const meet::Mark& mark,
                                       const std::optional<meet::MeasuredMoment>& moment);
/// One change with undo: the mark pointed at there on that frame of that clip, in place of where it was
/// pointed at before, or no longer (none). What was followed from there goes, and so does the measured
/// instant, which rests on the points.
[[nodiscard]] meet::Change with_pointed(const meet::Mark& mark, meet::ClipId clip,
                                        const meet::FrameRef& frame,
                                        const std::optional<std::array<double, 2>>& at);
/// One change with undo: the mark with these points, all of them followed from where it was pointed at on
/// that frame of that clip, in place of those that were before. Frames on which somebody pointed keep theirs.
[[nodiscard]] meet::Change with_followed(const meet::Mark& mark, meet::ClipId clip,
                                         const meet::FrameRef& from,
                                         const std::vector<meet::Pointed>& points);

}  // namespace plumbmark::review
