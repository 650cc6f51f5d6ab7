// All that can be measured of a run, as its sheet and the window say it.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "meet/changes.h"
#include "report/ruling_document.h"
#include "review/clip_cameras.h"
#include "review/measured_moment.h"
#include "review/measures.h"
#include "review/session.h"

namespace plumbmark::review {

/// What was measured of one mark.
struct MarkMeasured {
    meet::MarkId mark;
    MarkMeasures measures;
    std::optional<MomentMeasure> moment;        ///< where it was pointed at on two frames or more
    std::optional<base::Error> moment_trouble;  ///< why there is no moment, where one was asked for so
    [[nodiscard]] bool empty() const {
        return measures.found.empty() && measures.troubles.empty() && !moment && !moment_trouble;
    }
};

/// Every mark of the run that was pointed at, in the order of their ids; those of which there is nothing to
/// say are left out. Nothing where the plan has no planes or no clip of the run has a stand. Reads pictures
/// where a mark's frame is not its stand's: not for the window's thread. 'stopped' is asked before each mark.
/// Error cancelled.
[[nodiscard]] base::Result<std::vector<MarkMeasured>> run_measures(const meet::State& state, meet::RunId run,
                                                                   const course::CourseBook& book,
                                                                   ClipCameras& cameras,
                                                                   const std::function<bool()>& stopped = {});

/// The clips of the session's run, as they can be read now.
[[nodiscard]] std::map<meet::ClipId, ReadableClip> readable_clips(const Session& session);

/// The same for the session's run, for its sheet: waits for the decoder. Errors: cancelled.
[[nodiscard]] base::Result<std::vector<MarkMeasured>> run_measures(const Session& session,
                                                                   const std::stop_token& stop = {});

/// As the document of a ruling has them: what was measured, and instants that the reviewer took.
void add_measures(const std::vector<MarkMeasured>& measured, const meet::State& state, meet::RunId run,
                  report::RulingDocument& document);

/// "measured: between 2.1 and 4.6 ms after f 394", of an instant that was taken into a mark.
[[nodiscard]] base::Sentence taken_moment_words(const meet::MeasuredMoment& moment);

}  // namespace plumbmark::review
