// The frames of a stretch one after the other, as they may leave the meet.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "media/frame_reader.h"
#include "media/frame_table.h"
#include "review/faces.h"

namespace plumbmark::review {

/// One owner thread; waits for the decoder and the search.
class HiddenFrames {
  public:
    /// Frames first to last of the clip's table. State and table must outlive it.
    HiddenFrames(const meet::State& state, meet::ClipId clip, media::FrameReader reader,
                 const media::FrameTable& table, std::array<std::int64_t, 2> stretch, std::stop_token stop);

    /// Frame n of the stretch, upright, with the faces hidden that were found in it or in frames near it, and
    /// what was covered by hand. Ask in ascending order. Errors: damaged where the frame does not decode, and
    /// those of the search.
    [[nodiscard]] base::Result<media::RgbaImage> frame(std::int64_t n);
    /// Frame n of the clip as it is, nothing hidden: to look for things in, not to be given out. The one that
    /// frame() gave last costs nothing.
    [[nodiscard]] base::Result<std::shared_ptr<const media::Picture>> as_filmed(std::int64_t n) {
        return reader_.read_alone(n);
    }
    /// As FaceHider::sentence().
    [[nodiscard]] base::Sentence sentence() const { return hider_.sentence(); }
    /// How many frames of the stretch are searched.
    [[nodiscard]] std::size_t searches() const { return searched_.size(); }

  private:
    [[nodiscard]] base::Result<media::RgbaImage> read(std::int64_t n);
    [[nodiscard]] base::Result<void> search_up_to(std::int64_t n);
    [[nodiscard]] bool near(std::int64_t a, std::int64_t b) const;

    meet::ClipId clip_;
    media::FrameReader reader_;
    const media::FrameTable& table_;
    std::stop_token stop_;
    FaceHider hider_;
    std::vector<std::int64_t> searched_;  ///< frames that are searched, ascending
    std::size_t next_ = 0;                ///< of those, the first that was not yet
    std::map<std::int64_t, std::vector<sight::Box>> found_;
};

}  // namespace plumbmark::review
