// Finds in the background where the drawings of a clip lie on its other frames.
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "follow/follower.h"
#include "media/frame_table.h"
#include "meet/changes.h"

namespace plumbmark::review {

/// A drawing as it is followed: the points that count, and the frame on which they lie so.
struct FollowedDrawing {
    meet::DrawingId id;
    std::int64_t still = 0;
    std::vector<follow::Point> points;
    friend bool operator==(const FollowedDrawing&, const FollowedDrawing&) = default;
};

/// The drawing's points as they are followed: a plane's far side counts as one.
[[nodiscard]] std::vector<follow::Point> followed_points(const meet::Drawing& drawing);

/// The clip's drawings that have a still, in the order of their ids.
[[nodiscard]] std::vector<FollowedDrawing> followed_drawings(const meet::State& state, meet::ClipId clip);

/// The drawing where the fit takes it; none where it does not fit, or a point has no place in the picture.
[[nodiscard]] std::optional<meet::Drawing> placed_drawing(const meet::Drawing& drawing,
                                                          const follow::ShapeFit& fit);

/// Frames, both included, on which at least one drawing is lost.
struct LostStretch {
    std::int64_t first = 0, last = 0;
    friend bool operator==(const LostStretch&, const LostStretch&) = default;
};

/// Frame by frame, those near the one on the screen first. Results stay in memory as long as the job.
///
/// Threads: made, asked and destroyed by one owner; the work has a thread of its own at the lowest priority,
/// which calls 'wake' when a frame that is looked at is known, now and then, and when all are. 'busy' is
/// asked on that thread: while true nothing is decoded but the frame that is looked at. The destructor stops
/// the work within one frame.
class FollowingJob {
  public:
    FollowingJob(std::filesystem::path clip, std::shared_ptr<const media::FrameTable> table,
                 std::vector<FollowedDrawing> drawings, std::int64_t looked_at, std::function<bool()> busy,
                 std::function<void()> wake);
    ~FollowingJob();
    FollowingJob(const FollowingJob&) = delete;
    FollowingJob& operator=(const FollowingJob&) = delete;

    [[nodiscard]] const std::vector<FollowedDrawing>& drawings() const { return drawings_; }
    /// Where to go on from.
    void look_at(std::int64_t frame);
    /// Goes no further than the frame that is looked at, until it is told to: for clips that stand beside the
    /// one that is worked on.
    void rest(bool resting);
    /// Share of the frames that are known.
    [[nodiscard]] double progress() const;
    /// How the drawing lies on the frame; none while that is not known. On its own still it fits exactly.
    [[nodiscard]] std::optional<follow::ShapeFit> at(meet::DrawingId drawing, std::int64_t frame) const;
    /// Why the drawing cannot be followed at all: it then stays where it was drawn.
    [[nodiscard]] std::optional<base::Error> trouble(meet::DrawingId drawing) const;
    /// As far as is known by now, in ascending order.
    [[nodiscard]] std::vector<LostStretch> lost() const;
    /// Grows with each frame that becomes known.
    [[nodiscard]] std::uint64_t version() const { return version_.load(std::memory_order_relaxed); }

  private:
    /// The drawings of one still.
    struct Group;
    /// What is known of one frame: a fit for each drawing, and for each group where it lies as a whole.
    struct Known {
        std::vector<follow::ShapeFit> fits;
        std::vector<std::optional<follow::Mapping>> wholes;
    };
    class Worker;

    void work(const std::stop_token& stop);
    [[nodiscard]] std::optional<std::int64_t> next_frame(const std::stop_token& stop);
    [[nodiscard]] std::optional<std::int64_t> nearest_unknown() const;
    [[nodiscard]] std::optional<follow::Mapping> near(std::size_t group, std::int64_t frame) const;
    void note(std::int64_t frame, Known known);
    [[nodiscard]] std::optional<std::size_t> index_of(meet::DrawingId drawing) const;

    const std::filesystem::path clip_;
    const std::shared_ptr<const media::FrameTable> table_;
    const std::vector<FollowedDrawing> drawings_;
    const std::function<bool()> busy_;
    const std::function<void()> wake_;
    std::atomic<std::uint64_t> version_{0};
    mutable std::mutex mutex_;
    std::condition_variable_any moved_;
    std::int64_t looked_at_ = 0;  // guarded by mutex_, as are those below
    std::int64_t last_done_ = -1;
    bool resting_ = false;
    std::int64_t known_count_ = 0;
    std::vector<std::unique_ptr<const Known>> known_;   ///< by frame
    std::vector<std::optional<base::Error>> troubles_;  ///< by drawing
    std::jthread thread_;
};

}  // namespace plumbmark::review
