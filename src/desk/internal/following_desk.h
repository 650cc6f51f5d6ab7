// Where the drawings of a clip lie in the picture on the screen, when the camera moved.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "desk/internal/panels.h"
#include "review/copy_drawings.h"
#include "review/following_job.h"

namespace plumbmark::desk {

enum class Placement : std::uint8_t {
    as_drawn,  ///< it has no still, or is not followed
    follows,
    finding,  ///< not known yet; it is where it was drawn
    lost,     ///< it is known not to fit; it is where it was drawn
};

/// A drawing as it is to be drawn and pointed at now.
struct PlacedDrawing {
    std::vector<Point> points;
    std::optional<Point> towards;
    Placement placement = Placement::as_drawn;
    double error = 0;    ///< where it follows: half the width that holds 95 %, pixels of the picture
    bool moved = false;  ///< it lies elsewhere than where it was drawn
    [[nodiscard]] bool holds() const {
        return placement == Placement::as_drawn || placement == Placement::follows;
    }
};

/// UI thread only; nothing here waits. What was found stays until the drawings change or another meet is
/// opened.
class FollowingDesk {
  public:
    explicit FollowingDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// Begins, moves on and stops the work behind. Once per drawn frame.
    void update(const review::Session& session);
    /// Stops following the clip's drawings, or follows them again.
    void toggle(meet::ClipId clip);
    [[nodiscard]] bool on(meet::ClipId clip) const { return !off_.contains(clip); }

    /// Looks for the scene of another clip in the current frame, to take its drawings over. A newer wish
    /// takes an older one's place.
    void copy(const review::Session& session, meet::ClipId from);
    /// What came of it, once.
    [[nodiscard]] std::optional<base::Result<review::CopiedDrawings>> take_copied();

    /// In the picture of the drawing's clip that is on the screen.
    [[nodiscard]] PlacedDrawing placed(const review::Session& session, const meet::Drawing& drawing) const;
    /// How the current clip's drawings lie, for the label of the picture; empty where there is nothing to
    /// say.
    [[nodiscard]] std::string words(const review::Session& session) const;
    /// Where a drawing of the clip is lost, as far as is known.
    [[nodiscard]] const std::vector<review::LostStretch>& lost(meet::ClipId clip) const;
    /// Nothing has to be found for the pictures on the screen.
    [[nodiscard]] bool settled(const review::Session& session) const;

  private:
    struct OneClip {
        std::unique_ptr<review::FollowingJob> job;
        std::shared_ptr<const media::FrameTable> table;
        std::vector<review::LostStretch> lost;
        std::uint64_t version = 0;
    };
    void update(const review::Session& session, const review::ClipView& clip);

    std::function<void()> wake_;
    std::shared_ptr<std::atomic<bool>> busy_ = std::make_shared<std::atomic<bool>>(false);
    const review::Session* session_ = nullptr;  ///< whose clips these are; never looked into
    std::map<meet::ClipId, OneClip> clips_;
    std::set<meet::ClipId> off_;
    std::unique_ptr<review::CopyDrawingsJob> copying_;
};

/// Where lost stretches stand on the screen, for the pointer.
struct LostHit {
    Box box;
    std::string words;
};
/// Hatches the ruler's foot where a drawing does not fit. 'track' is the rows' box, 'x_of' gives the place of
/// a time (nanoseconds).
[[nodiscard]] std::vector<LostHit> draw_lost(const Look& look, const Box& track,
                                             const std::vector<review::LostStretch>& lost,
                                             const media::FrameTable& table,
                                             const std::function<float(std::int64_t)>& x_of,
                                             ImDrawList* list);

}  // namespace plumbmark::desk
