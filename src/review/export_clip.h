// A stretch of a clip, or one frame of it, as a file that leaves the meet: with what was marked drawn into
// it, or plain; faces hidden by the rule of every picture that leaves the meet.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>

#include "base/result.h"
#include "course/book.h"
#include "media/frame_table.h"
#include "meet/changes.h"
#include "report/annotated_picture.h"
#include "report/marks_export.h"
#include "review/session.h"

namespace plumbmark::review {

/// How much slower than real time a clip may be given out.
inline constexpr std::array<int, 4> kSlowings{1, 2, 4, 8};

/// What somebody wants.
struct ExportWish {
    meet::ClipId clip;
    std::string station = {};  ///< key in the course book: for the caption and the stretch; may be empty
    /// The frames, both included; of a still the two are the same. None: around the station's decision.
    std::optional<std::array<std::int64_t, 2>> frames = {};
    bool still = false;  ///< one frame as a PNG: the first of 'frames', else the one that decides
    int slower = 1;      ///< one of kSlowings; of a still it says nothing
    bool sound = false;  ///< at real speed only
    bool plain = false;  ///< nothing drawn in and no band below
    std::filesystem::path out;
};

/// All that it takes, as values of its own: a thread beside the session's can do it.
struct ExportWork {
    meet::State state;
    meet::RunId run;
    std::optional<course::CourseBook> book;
    ExportWish wish;
    std::int64_t first = 0, last = 0;  ///< frames of the table, both included
    std::filesystem::path file;
    std::shared_ptr<const media::FrameTable> table;
    std::optional<report::RunClock> clock;
    std::optional<report::PictureCaption> caption;
};

/// What came of it.
struct Exported {
    std::filesystem::path file;
    std::int64_t frames = 0;
    std::string kind;      ///< "H.264 in MP4", "PNG"
    base::Sentence faces;  ///< what is to be said of the faces in it
    std::vector<base::Sentence>
        notices;  ///< what else is: frames that do not decode, another codec, no sound
    /// "f 152 to 280 of camera A, 129 frames, H.264 in MP4".
    base::Sentence words;
};

/// Looks the wish over and collects what it takes. The stretch around a decision is that of the brackets that
/// a sheet shows for the station on this clip, a second of the clip's time before and after; where none is
/// on this clip, at the same time as one on another clip, as well as the marks tie the two. Errors:
/// not_found (no such clip or station; nothing that decides it here: says to name frames), bad_input (frames
/// that the clip does not have; sound at another speed or of a clip without; a slowing that there is not;
/// a file that the meet itself rests on), busy (the clip is still being read), and what the clip or, with a
/// station, the ruling says as its error. Waits for nothing: settle() the session first.
[[nodiscard]] base::Result<ExportWork> plan_export(const Session& session, const ExportWish& wish);

/// Does it. Frames keep the exact times that the clip has, from 0 on, times 'slower'; each is there once. A
/// frame that does not decode is left out, so that the one before lasts longer, and told. In a clip the faces
/// that are found in a frame are hidden in those beside it as well; frames are searched at least every sixth
/// and every 50 ms. 'progress', the share done, is called on this thread. Errors: cancelled; io (the disk is
/// full); unsupported (no encoder, or faces cannot be looked for); damaged (no frame decodes); and those of
/// reading the clip. After an error nothing is left of the file, and what was there is unchanged. Takes
/// seconds to minutes (docs/figures.md).
[[nodiscard]] base::Result<Exported> carry_out_export(const ExportWork& work,
                                                      const std::function<void(double)>& progress = {},
                                                      const std::stop_token& stop = {});

/// A good name for it, without a folder: "run-4-swing-camera-A-f152-280-quarter.mp4".
[[nodiscard]] std::string export_name(const Session& session, const ExportWish& wish);

/// Whether this is a file that the meet rests on: the meet file itself or a clip's. It is never written over.
[[nodiscard]] bool is_of_meet(const Session& session, const std::filesystem::path& file);

}  // namespace plumbmark::review
