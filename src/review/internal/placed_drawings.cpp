#include "review/internal/placed_drawings.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

#include "review/following_job.h"

namespace plumbmark::review {
namespace {

constexpr std::int64_t kNear = 6;  ///< frames over which a hand-held camera's view is a good guess

}  // namespace

PlacedDrawings::PlacedDrawings(const meet::State& state, meet::ClipId clip) {
    for (const auto& [id, drawing] : state.drawings()) {
        if (drawing.clip != clip) continue;
        if (drawing.still && !drawing.points.empty())
            by_still_[drawing.still->number].drawings.push_back(drawing);
        else
            fixed_.push_back(drawing);
    }
}

void PlacedDrawings::make(Group& group, std::int64_t still, const Frames& frames) {
    group.made = true;
    const auto picture = frames(still);
    if (!picture) return;
    std::vector<std::vector<follow::Point>> shapes;
    for (const meet::Drawing& drawing : group.drawings)
        shapes.push_back(followed_points(drawing));
    auto made = follow::Follower::make(follow::grey_picture(**picture), std::move(shapes));
    if (made) group.follower.emplace(std::move(*made));
}

void PlacedDrawings::follow(Group& group, std::int64_t frame, const media::Picture& picture,
                            std::vector<meet::Drawing>& placed) {
    const bool near = group.seen && std::abs(frame - group.seen_at) <= kNear;
    const follow::Fit fit =
        group.follower->fit(follow::grey_picture(picture), near ? group.seen : std::nullopt);
    group.seen = fit.whole;
    group.seen_at = frame;
    for (std::size_t i = 0; i < group.drawings.size(); ++i)
        if (auto moved = placed_drawing(group.drawings[i], fit.shapes[i]))
            placed.push_back(std::move(*moved));
}

std::vector<meet::Drawing> PlacedDrawings::in(std::int64_t frame, const Frames& frames) {
    std::vector<meet::Drawing> placed = fixed_;
    for (auto& [still, group] : by_still_) {
        if (still != frame && !group.made) make(group, still, frames);
        if (still == frame || !group.follower) {
            placed.insert(placed.end(), group.drawings.begin(), group.drawings.end());
            continue;
        }
        if (const auto picture = frames(frame)) follow(group, frame, **picture, placed);
    }
    std::sort(placed.begin(), placed.end(),
              [](const meet::Drawing& a, const meet::Drawing& b) { return a.id < b.id; });
    return placed;
}

}  // namespace plumbmark::review
