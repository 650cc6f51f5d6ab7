// Whose faces may be shown in what leaves the meet, and hiding the others.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "media/picture.h"
#include "meet/changes.h"
#include "sight/faces.h"

namespace plumbmark::review {

/// True when every athlete whose run holds this clip has given consent to be shown: who is in a picture with
/// somebody else needs the other's as well. False where a run does not say whose it is. Pure.
[[nodiscard]] bool may_show_faces(const meet::State& state, meet::ClipId clip);

/// The place that a picture is about, and how much around it is to be seen: both in its pixels.
struct PointedAt {
    std::array<double, 2> at{};
    int side = 0;
};

/// A whole upright picture of a clip, and which of its frames it is.
struct ClipPicture {
    media::RgbaImage* picture = nullptr;
    std::int64_t frame = 0;
    std::optional<sight::Box> shown = {};  ///< the part that is given out; none: all of it
    std::optional<PointedAt> pointed = {};
    double given_out =
        1;  ///< pixels of what is given out for one of these: faces too small there are passed by
};

/// Hides faces in the pictures of clips that may not show them. The cascades are read at the first picture
/// that needs them. The state must outlive it. Not for use by two threads at once.
class FaceHider {
  public:
    explicit FaceHider(const meet::State& state, std::stop_token stop = {})
        : state_(state), stop_(std::move(stop)) {}

    /// Makes unrecognisable (sight::hide) what must not be seen in these whole pictures of one clip: always
    /// what was covered by hand there, and the faces that are found in or across the edge of the part that is
    /// given out, unless the clip may show faces. Beyond that part faces may be left. Of neighbours all hide
    /// what was found in any of them. What was found at a place that was pointed at leaves a small square
    /// open there (sight::hide_around); what was covered by hand never does. Errors, and then the pictures
    /// must not be given out: unsupported where faces would have to be looked for and cannot be here;
    /// cancelled.
    [[nodiscard]] base::Result<void> hide(meet::ClipId clip, const std::vector<ClipPicture>& pictures,
                                          bool neighbours);

    /// The faces in one picture of a clip, or nothing where it may show them: for pictures in a row, in which
    /// what was found in one is hidden in those beside it as well. Errors as hide().
    [[nodiscard]] base::Result<std::vector<sight::Box>> look_for(meet::ClipId clip, const ClipPicture& one);
    /// Makes these places of it unrecognisable, and what was covered by hand on its frame. Nothing that was
    /// pointed at is left open.
    void hide_places(meet::ClipId clip, const ClipPicture& one, const std::vector<sight::Box>& places);

    /// What a sheet says of the pictures so far: that faces were searched for by program, which misses some;
    /// on which clips the athletes agreed to be shown; how many pictures show a place that was pointed at
    /// although a face was found there; that places were covered by hand. Empty without
    /// pictures.
    [[nodiscard]] base::Sentence sentence() const;

  private:
    [[nodiscard]] base::Result<void> find(meet::ClipId clip, const std::vector<ClipPicture>& pictures,
                                          std::vector<std::vector<sight::Box>>& faces);
    void hide_found(const ClipPicture& one, const std::vector<sight::Box>& faces);
    void cover_by_hand(meet::ClipId clip, const ClipPicture& one);

    const meet::State& state_;
    std::stop_token stop_;
    bool covered_ = false;
    std::size_t left_open_ = 0;  ///< pictures
    std::optional<sight::FaceFinder> finder_;
    std::vector<meet::ClipId> searched_, shown_;  ///< clips, each once
};

}  // namespace plumbmark::review
