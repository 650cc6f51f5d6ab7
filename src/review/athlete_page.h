// From a session to the athlete's page of its run.
#pragma once

#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "report/athlete_page.h"
#include "review/session.h"

namespace plumbmark::review {

struct AthletePageWish {
    /// Runs that it is held against, each by itself and all as a group.
    std::vector<meet::RunId> against;
    /// Key of a division of the meet or the course book, whose other runs are a group; empty: none.
    std::string division;
    /// With the pictures of the notes that want one, faces hidden. Without, a note says nothing of its
    /// picture.
    bool pictures = true;
    std::stop_token stop;
    /// Gets the share done, 0 to 1, on the calling thread.
    std::function<void(double)> progress;
};

/// The page of the session's run, which has been ruled (settle() first): held against the athlete's own other
/// runs, and against what is wished. A run that cannot be laid open keeps none of the others back, and the
/// page says so. The name, and everything that only a name tells, is taken out for each athlete of these runs
/// who refused consent, as a sealed package has it; the number stands for it. Errors: not_found (no run, no
/// such run or division), what keeps the run itself from being ruled or laid open, those of note_stills(),
/// cancelled. Reads the pictures of notes: not for the window's thread.
[[nodiscard]] base::Result<report::AthletePage> athlete_page(const Session& session,
                                                             const AthletePageWish& wish = {});

/// Where the short clips went, by the notes of a page.
struct ShortClips {
    std::vector<std::filesystem::path> files;
    std::vector<base::Sentence> faces;    ///< how faces were kept from them, each sentence once
    std::vector<base::Sentence> notices;  ///< what else is to be said of them
};
/// Writes a clip of each note of the session's run into a folder, which is made where it is not there: a
/// second before its frame and one after it, with what was marked drawn in, as any export
/// (review/export_clip.h): faces hidden, and nothing of the meet written over. Sets PageNote::short_clip.
/// Names: "note-2-f152-272.mp4", by the note's place on the page. Errors: those of the export, io where the
/// folder cannot be made. What was written before an error stays.
[[nodiscard]] base::Result<ShortClips> write_short_clips(const Session& session, report::AthletePage& page,
                                                         const std::filesystem::path& folder,
                                                         const std::function<void(double)>& progress = {},
                                                         const std::stop_token& stop = {});

}  // namespace plumbmark::review
