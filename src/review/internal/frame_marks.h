// What is drawn into the frames of a clip that leaves the meet.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "course/book.h"
#include "media/frame_table.h"
#include "meet/changes.h"
#include "report/annotated_picture.h"
#include "report/marks_export.h"

namespace plumbmark::review {

/// The marks and statements of one run on one clip, ready to be asked frame by frame. Draws what is
/// marked and nothing else. Keeps no reference; immutable.
class FrameMarks {
  public:
    /// Waits for nothing. 'table' is the clip's, 'clock' how it lies to the run's, where it does.
    FrameMarks(const meet::State& state, meet::RunId run, meet::ClipId clip, const course::CourseBook* book,
               std::shared_ptr<const media::FrameTable> table, std::optional<report::RunClock> clock);

    /// Of frame n of the table. A mark is told from half a second before the early end of its bracket until a
    /// second after the late one, with its bracket as a range of frames; where it was pointed at is ringed in
    /// its bracket, and smaller for the second after it, of the marks that have a row. A contact statement is
    /// told half a second around its frame. 'ending' stands at the end of the frame's line; may be empty.
    /// 'outlines': what is drawn on the clip, as it lies in the frame.
    [[nodiscard]] report::PictureMarks of(std::int64_t frame, const std::string& ending,
                                          std::vector<report::StillOutline> outlines) const;
    /// The most notes that a frame from first to last has.
    [[nodiscard]] std::size_t most_notes(std::int64_t first, std::int64_t last) const;

  private:
    struct Told {
        std::optional<std::int64_t> early, late;  ///< none: before the clip, after it
        std::int64_t from = 0, to = 0;            ///< frames at which it is told
        std::optional<course::Part> part;
        std::string words;
        bool contact = false;
        std::optional<std::array<double, 2>> spot;
    };
    void add(Told told);
    [[nodiscard]] std::int64_t frame_near(std::int64_t frame, base::Duration away) const;
    [[nodiscard]] std::string note(const Told& told, std::int64_t frame) const;
    [[nodiscard]] std::string frame_line(std::int64_t frame, const std::string& ending) const;

    meet::Clip clip_;
    std::shared_ptr<const media::FrameTable> table_;
    std::optional<report::RunClock> clock_;
    std::vector<Told> told_;  ///< by where they are told first
};

}  // namespace plumbmark::review
