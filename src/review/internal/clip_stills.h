// Pictures of clips as they leave the meet: made smaller, with what was drawn on the clip, and with the faces
// hidden that must not be seen.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "course/book.h"
#include "media/frame_reader.h"
#include "media/picture.h"
#include "meet/changes.h"
#include "report/stills.h"
#include "review/faces.h"
#include "review/internal/clip_source.h"
#include "review/internal/placed_drawings.h"

namespace plumbmark::review {

/// One frame of a clip, or why there is none.
struct ClipStill {
    std::int64_t frame = 0;
    std::optional<media::RgbaImage> picture;
    std::vector<report::StillOutline> outlines;  ///< in pixels of the picture
    std::optional<std::array<double, 2>> spot;   ///< as report::Still has it
    std::optional<base::Error> trouble;          ///< why there is no picture
};

/// Keeps a reader for each clip. The state must outlive it. One owner thread; waits for the decoder.
class ClipStills {
  public:
    using SourceOf = std::function<base::Result<ClipSource>(meet::ClipId)>;

    /// No picture is larger than 'width' by 'height' pixels.
    ClipStills(const meet::State& state, SourceOf source_of, int width, int height, std::stop_token stop);

    /// Whole frames, with nothing drawn over them.
    [[nodiscard]] base::Result<ClipStill> whole(meet::ClipId clip, std::int64_t frame);

    /// Of these frames of one clip, in ascending order, what a mark is about: the surroundings of the spot
    /// where it was pointed at, else of the drawn surface that it names, else (and without a mark) the whole
    /// frame; with the clip's drawings as they lie there, named as the book has them: of 'only' these keys,
    /// where it is not null. Around the spot so much
    /// stays open of a face that was found there as its ring encloses. Of neighbours, all hide what was found
    /// in any of them. Errors, and then none of the pictures so far may be given out: those of
    /// FaceHider::hide().
    [[nodiscard]] base::Result<std::vector<ClipStill>> about(meet::ClipId clip,
                                                             const std::vector<std::int64_t>& frames,
                                                             const meet::Mark* mark,
                                                             const course::CourseBook* book,
                                                             const std::set<std::string>* only = nullptr);

    /// What is to be said of the faces in all of them (FaceHider::sentence).
    [[nodiscard]] base::Sentence faces() const { return hider_.sentence(); }

  private:
    /// A whole frame, upright, and the part of it that the still shows.
    struct Shot {
        media::RgbaImage picture;
        sight::Box window;
        std::vector<meet::Drawing> drawings;  ///< of the clip, as they lie in this frame
    };

    [[nodiscard]] base::Result<media::FrameReader*> reader(meet::ClipId clip);
    [[nodiscard]] std::vector<meet::Drawing> drawings_in(meet::ClipId clip, std::int64_t frame,
                                                         media::FrameReader& source);
    [[nodiscard]] base::Result<Shot> take(meet::ClipId clip, std::int64_t frame, const meet::Mark* mark);
    [[nodiscard]] base::Result<void> finish(ClipStill& still, const Shot& shot,
                                            const std::optional<std::array<double, 2>>& spot,
                                            const course::CourseBook* book) const;
    [[nodiscard]] sight::Box window_of(meet::ClipId clip, const meet::Mark* mark, const Shot& shot) const;
    [[nodiscard]] double shrinking(const sight::Box& window) const;

    const meet::State& state_;
    const SourceOf source_of_;
    const int width_, height_;
    std::stop_token stop_;
    FaceHider hider_;
    std::map<meet::ClipId, base::Result<std::unique_ptr<media::FrameReader>>> readers_;
    std::map<meet::ClipId, PlacedDrawings> placed_;
};

}  // namespace plumbmark::review
