// A coach's notes to frames of a run, and their pictures.
#pragma once

#include <array>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/sentence.h"
#include "media/frame_table.h"
#include "media/picture.h"
#include "meet/changes.h"
#include "review/session.h"

namespace plumbmark::review {

/// What is to be said, of the session's run.
struct NewNote {
    meet::ClipId clip;
    std::int64_t frame = 0;  ///< numbered from 0 in the clip
    std::string text = {};
    bool still = false;  ///< its picture goes on the athlete's page
};

/// One change with undo each. Errors: not_found (the run has no such clip, the clip's file is away, no such
/// note), busy (the clip is still being read), bad_input (the clip has no such frame; nothing is said and no
/// picture is wanted; the text is too long or not UTF-8), and why the clip cannot be read.
[[nodiscard]] base::Result<meet::NoteId> add_note(Session& session, const NewNote& note);
/// Other words, or whether its picture is wanted. Where both are as they were nothing happens.
[[nodiscard]] base::Result<void> change_note(Session& session, meet::NoteId note, const std::string& text,
                                             bool still);
[[nodiscard]] base::Result<void> remove_note(Session& session, meet::NoteId note);

/// The notes of a run in order of time: by the run's clock where marks tie their clips to the start signal
/// (run_clocks), then those of other clips, clip by clip. Pure.
[[nodiscard]] std::vector<meet::CoachNote> notes_in_order(const meet::State& state, meet::RunId run);

/// The frames from a second before a frame to a second after it on the clip's own clock, both included. The
/// table has the frame.
[[nodiscard]] std::array<std::int64_t, 2> around_note(const media::FrameTable& table, std::int64_t frame);

/// The picture of a note that wants one.
struct NoteStill {
    meet::NoteId note;
    std::optional<media::RgbaImage> picture;
    base::Sentence trouble;  ///< why there is none
};
struct NoteStills {
    std::vector<NoteStill> stills;  ///< in order of time
    base::Sentence faces;           ///< how faces were kept from them; empty without pictures
};
/// Whole frames, at most 960 by 720 pixels. Faces and what is covered by hand are hidden as in every picture
/// that leaves the meet (review/faces.h). A picture that cannot be had says why; the others come all the
/// same. Errors, and then nothing may be given out: unsupported where faces would have to be looked for and
/// cannot be here; cancelled. Waits for the decoder: not for the window's thread.
[[nodiscard]] base::Result<NoteStills> note_stills(const Session& session, const std::stop_token& stop = {});

}  // namespace plumbmark::review
