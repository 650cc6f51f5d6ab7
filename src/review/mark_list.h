// What a run's marks are to other programs, collected from the meet's values.
#pragma once

#include <map>
#include <optional>

#include "base/result.h"
#include "course/book.h"
#include "meet/changes.h"
#include "report/marks_export.h"

namespace plumbmark::review {

/// How each clip of the run lies to the run's clock, whose zero is the one start signal that is marked for
/// certain: the tightest bounds that follow from the brackets of certain events that several clips show, as a
/// temporal network (ruling/network.h). A clip of which a stretch has no known capture time has none, and
/// ties no other. Empty without a start signal, with several, or where the marks contradict each other.
/// Drift of the clips' clocks is not reckoned with: an aid for people, on which no ruling rests. Pure.
[[nodiscard]] std::map<meet::ClipId, report::RunClock> run_clocks(const meet::State& state, meet::RunId run);

/// Everything marked on the run; clips by their order in it. Needs no file. 'book' may be null: keys then
/// stand for names. Error not_found: there is no such run. Pure.
[[nodiscard]] base::Result<report::MarkList> mark_list(const meet::State& state, meet::RunId run,
                                                       const course::CourseBook* book);

}  // namespace plumbmark::review
