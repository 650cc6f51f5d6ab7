// The tester's book as it is told: what it takes to work it out from a meet file, its document, and the
// photographs of the rigs.
#pragma once

#include <filesystem>
#include <functional>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "report/trials_document.h"
#include "review/trial_book.h"
#include "review/what_if.h"

namespace plumbmark::review {

/// The frame tables of the clips of every run that a trial was filmed as (as frame_tables()). Waits for
/// drives: not for the window's thread. Error cancelled.
[[nodiscard]] base::Result<FrameTables> trial_tables(const std::filesystem::path& meet_folder,
                                                     const meet::State& state,
                                                     const std::stop_token& stop = {},
                                                     const std::function<void(double)>& progress = {});

/// The book of this wish with what the meet knows of it: rigs and releases of each station, names. Without
/// pictures. Pure.
[[nodiscard]] report::TrialsDocument trials_document(const meet::State& state, const TrialBook& book,
                                                     const TrialBookWish& wish);

/// Both, and the tables before them. Errors of trial_book(), of which cancelled comes within a moment of
/// 'wish.stopped'. Waits for drives.
[[nodiscard]] base::Result<report::TrialsDocument> work_out_trials(const std::filesystem::path& meet_file,
                                                                   const meet::State& state,
                                                                   const TrialBookWish& wish);

/// How the photographs of rigs are wanted.
struct RigPictureWish {
    int longest_side = 640;  ///< pixels
    /// For what leaves the meet: faces are searched for and made unrecognisable (sight/faces.h). Where they
    /// cannot be looked for there is no picture.
    bool hide_faces = false;
    std::stop_token stop = {};
};

/// One for each photograph of the rig. A file that is not there, does not read, or is not the one that was
/// noted, by its SHA-256, gives no picture, and a sentence says why and which file was looked for. Error
/// cancelled alone. Waits for drives; any thread.
[[nodiscard]] base::Result<std::vector<report::RigPicture>> rig_pictures(
    const std::filesystem::path& meet_file, const meet::RigState& rig, const RigPictureWish& wish);

/// What a sheet of releases shows: the photographs of every rig, and the frame of every open item, around
/// what its mark is about and with what was drawn on the clip. Faces are hidden in all of them: in frames
/// unless their athletes agreed to be seen (review/faces.h). A picture that cannot be had says why. Gives the
/// share done, 0 to 1. Errors, and then nothing may be given out: unsupported where faces would have to be
/// looked for and cannot be here; cancelled. Waits for drives and decoders; any thread, as long as nobody
/// changes the state.
[[nodiscard]] base::Result<void> add_sheet_pictures(report::TrialsDocument& document,
                                                    const std::filesystem::path& meet_file,
                                                    const meet::State& state,
                                                    const std::function<void(double)>& progress = {},
                                                    const std::stop_token& stop = {});

}  // namespace plumbmark::review
