// Marks as a text (docs/marks.md), in and out of a session.
#pragma once

#include "base/result.h"
#include "review/session.h"
#include "store/marks_json.h"

namespace plumbmark::review {

/// Adds everything of the text to the current run as one change that can be undone. Clips are found by name,
/// or by file name; frame numbers are looked up in the frame tables, so the clips must have been scanned
/// (settle() first). Errors: not_found (no run; a clip that the run does not have), bad_input (a frame that
/// the clip does not have). Nothing is half taken in.
[[nodiscard]] base::Result<void> take_in_marks(Session& session, const store::MarksText& text);

/// Everything marked on the run. Error not_found: there is no such run. Pure.
[[nodiscard]] base::Result<store::MarksText> give_out_marks(const meet::State& state, meet::RunId run);
/// The same of the current run.
[[nodiscard]] base::Result<store::MarksText> give_out_marks(const Session& session);

}  // namespace plumbmark::review
