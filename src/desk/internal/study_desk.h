// The run on the screen laid open for the coach, worked out beside the window; and the pictures of the run
// that it is held against, at the moment or the phase of the frame on the screen.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include "desk/internal/panels.h"
#include "desk/internal/study_state.h"
#include "review/laid_beside.h"
#include "review/latest_job.h"

namespace plumbmark::desk {

/// A point of the curve: where it is in this run.
struct CurveSpot {
    std::size_t point = 0;  ///< of the document's curve
    base::Time at;          ///< on the clip on the screen
    std::int64_t frame = 0;
};

/// UI thread only. Opening the meet file a second time, for the other run's pictures, waits for the disk.
class StudyDesk {
  public:
    explicit StudyDesk(std::function<void()> wake);

    /// Asks for what the view wants and has not been asked for yet, takes in what has come, and puts the
    /// other run's picture where it belongs. Once per drawn frame while the page is open. 'reading': how a
    /// meet is opened to be looked at only.
    void update(const review::Session& session, const StudyView& view, const review::SessionOptions& reading);
    /// The page is closed: what is not finished is stopped, and the other run's clips are let go.
    void close();

    /// What was asked for last; null before it has come, and where it could not be.
    [[nodiscard]] const review::LaidBeside* laid() const { return laid_ ? laid_.get() : nullptr; }
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }
    [[nodiscard]] bool working() const { return asked_ != answered_; }

    /// The curve's points that lie on the session's clip, in order of time. Empty without two runs, and while
    /// the clip is being read. Worked out anew only where the answer, the meet or the clip is another.
    [[nodiscard]] const std::vector<CurveSpot>& spots(const review::Session& session) const;

    /// The other run's clip with its picture; null where there is none, or nothing tells where it belongs.
    [[nodiscard]] const review::ClipView* other_clip() const;
    [[nodiscard]] const review::PictureView* other_picture() const;
    [[nodiscard]] std::int64_t other_frame() const;
    /// Why there is none, in the chosen language; empty where there is one or none is wanted.
    [[nodiscard]] const std::string& no_picture() const { return no_picture_; }
    /// Since the anchor, by each run's own clock.
    struct Clocks {
        std::optional<base::Duration> mine, other;
    };
    [[nodiscard]] const Clocks& clocks() const { return clocks_; }
    /// The other's picture belongs to the frame on the screen, and is there.
    [[nodiscard]] bool settled() const;

  private:
    using Answer = base::Result<std::shared_ptr<const review::LaidBeside>>;
    struct Asked {
        std::uint64_t changes = 0;
        review::LaidBesideWish wish;
        bool same(const Asked& other) const {
            return changes == other.changes && wish.run == other.wish.run && wish.other == other.wish.other &&
                   wish.align == other.wish.align;
        }
    };
    /// Where a clip of the other run lies against one of this run.
    struct Lies {
        std::optional<study::TimeMap> map;
        std::optional<base::Time> anchor_here, anchor_there;
    };
    const Lies& lies(std::size_t here, std::size_t there, review::Together how);
    void take(std::shared_ptr<const review::LaidBeside> laid);
    void ask(const review::Session& session, const Asked& wanted);
    void place_other(const review::Session& session, const StudyView& view,
                     const review::SessionOptions& reading);
    [[nodiscard]] std::string wanted_words() const;
    [[nodiscard]] bool open_reader(const review::Session& session, meet::RunId other,
                                   const review::SessionOptions& reading);

    std::optional<review::LatestJob<Answer>> job_;
    std::function<void()> wake_;
    std::optional<Asked> wanted_;
    std::uint64_t asked_ = 0, answered_ = 0;
    std::shared_ptr<const review::LaidBeside> laid_;
    std::optional<base::Error> trouble_;

    // What follows from laid_ alone, and from it and the clip on the screen: pages are drawn sixty times a
    // second.
    std::map<std::tuple<std::size_t, std::size_t, review::Together>, Lies> lies_;
    struct Spots {
        std::shared_ptr<const review::LaidBeside> laid;
        std::shared_ptr<const media::FrameTable> table;
        std::uint64_t changes = 0;
        std::vector<CurveSpot> spots;
    };
    mutable Spots spots_;

    std::unique_ptr<review::Session> reader_;
    std::uint64_t reader_changes_ = 0;  ///< of the meet when it was opened for reading
    std::optional<meet::ClipId> reader_clip_;
    bool placed_ = false;
    std::string no_picture_;
    Clocks clocks_;
};

/// By how much one run is behind the other along the course, with the frame on the screen; a click goes to
/// the frame of the point under the pointer.
void draw_study_curve(const Scene& scene, const Box& box, const review::LaidBeside& laid,
                      const std::vector<CurveSpot>& spots);
/// How long the stations took, under each the best of those that it is held against.
void draw_study_times(const Scene& scene, const Box& box, const review::LaidBeside& laid);

/// A click outside closes it, by PageKind::none.
void draw_study(const Scene& scene, const Box& box, const StudyDesk& desk, StudyView& view, PageView& page);

}  // namespace plumbmark::desk
