// From a session to the things that leave it: the document of a ruling, and the stills its sheet wants.
#pragma once

#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "report/ruling_document.h"
#include "report/stills.h"
#include "review/session.h"

namespace plumbmark::review {

/// The version of the program as sheets state it.
[[nodiscard]] const char* program_version();

/// The document of the current run's ruling. Errors: what session.ruling() gives as its error; busy while the
/// ruling is still being reached (call settle() first).
[[nodiscard]] base::Result<report::RulingDocument> ruling_document(const Session& session);

/// A run that was ruled, by whatever holds its values.
struct RuledRun {
    const meet::State& state;
    meet::RunId run;
    const course::CourseBook& whole_book;  ///< with all its divisions and lanes
    const course::CourseBook& book;        ///< as the run is ruled under it
    const ruling::Evidence& evidence;
    const std::vector<meet::ClipId>& clips;  ///< by ruling::ClipIndex
    const ruling::RunRuling& ruling;         ///< under the usual settings
};

/// The document of that ruling. Pure.
[[nodiscard]] report::RulingDocument ruling_document(const RuledRun& ruled);

/// The stills of a sheet, and what is to be said of the faces in them (report::RulingDocument::faces).
struct SheetPictures {
    std::vector<report::Still> stills;
    std::string faces;
};

/// Decodes and crops the pictures that the sheet wants, with the surfaces and planes drawn on their clips.
/// Each is at most 640 pixels wide: around the spot where the contact was pointed at, else around the drawn
/// surface, else the whole frame. A clip whose file is away gives no stills. Faces are hidden in the pictures
/// of every clip but those whose athletes have all given their consent (review/faces.h); around a spot as
/// much stays open as its ring encloses, or less. Error unsupported where faces would have to be hidden and
/// cannot be looked for here; cancelled. Waits for the decoder: not for the window's thread.
[[nodiscard]] base::Result<SheetPictures> ruling_stills(const Session& session,
                                                        const report::RulingDocument& document,
                                                        const std::stop_token& stop = {});

}  // namespace plumbmark::review
