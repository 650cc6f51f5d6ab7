// Marks of one run as a text that programs and people can exchange. The form stands in docs/marks.md.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"

namespace plumbmark::store {

/// A clip that a marks text names.
struct NamedClip {
    std::string key;   ///< "cam01"
    std::string file;  ///< path as written
    int stream = 0;    ///< which of the file's video streams, from 0
    /// The word on its capture time as meet::read_capture gives it (no time stamps); empty: none.
    meet::CaptureMap capture = {};
};

/// The marks of one run, before they have ids: every id is -1, run is none, clips are indices into 'clips',
/// and each FrameRef has its number only (pts 0), since a text names frames by number.
struct MarksText {
    std::string run;
    std::vector<NamedClip> clips;
    std::vector<meet::Mark> marks;
    std::vector<meet::ContactStatement> contacts;
    std::vector<meet::WatchedSpan> watched;
    std::vector<meet::Drawing> drawings;
};

/// Reads a marks text. Errors name the place ("marks[3].part") and what was expected. Any bytes are allowed.
[[nodiscard]] base::Result<MarksText> read_marks(std::string_view json_text);

/// Writes one, with two spaces of indentation; reads back equal.
[[nodiscard]] std::string write_marks(const MarksText& marks);

}  // namespace plumbmark::store
