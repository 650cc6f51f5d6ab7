// From a course book or a meet to the briefing of one division and lane.
#pragma once

#include <string>

#include "base/result.h"
#include "meet/changes.h"
#include "report/briefing.h"

namespace plumbmark::review {

/// The briefing of a course book's text. 'division' and 'lane' are keys in the book, empty for the course as
/// it stands and as it is written. Errors: bad_input with every problem of a text that does not read, each
/// with 'file' in front; not_found for a division or lane that it does not have. Pure; any thread.
[[nodiscard]] base::Result<report::BriefingDocument> briefing_of_book(const std::string& text,
                                                                      const std::string& file,
                                                                      const std::string& division,
                                                                      const std::string& lane);

/// The same of the meet's newest course book, with the meet's name and its rules of appeals. 'division' is
/// the key of one of the meet's divisions, which says how it runs the course, or else of one of the book's.
/// Errors as above, and not_found where the meet has no course book. Pure; any thread.
[[nodiscard]] base::Result<report::BriefingDocument> briefing_of_meet(const meet::State& state,
                                                                      const std::string& division,
                                                                      const std::string& lane);

}  // namespace plumbmark::review
