#include "review/internal/clip_stills.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/worded.h"
#include "media/still.h"
#include "review/outlines.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

/// Over so many frames nobody's head moves far: a face that is found in one is hidden in both.
constexpr std::int64_t kNeighbours = 6;

sight::Box around(double x, double y, int width, int height, const media::RgbaImage& picture) {
    const int w = std::min(width, picture.width);
    const int h = std::min(height, picture.height);
    const int left = std::clamp(static_cast<int>(std::lround(x)) - w / 2, 0, picture.width - w);
    const int top = std::clamp(static_cast<int>(std::lround(y)) - h / 2, 0, picture.height - h);
    return {left, top, w, h};
}

/// Where the mark was pointed at, when that was on this clip.
std::optional<std::array<double, 2>> spot_of(meet::ClipId clip, const meet::Mark* mark) {
    const bool here = mark && !mark->sightings.empty() && mark->sightings.front().clip == clip;
    return here ? mark->spot : std::nullopt;
}

/// What the ring around the spot encloses is what was pointed at. In a still as high as an athlete that
/// is a hand with its wrist: a tenth of the height of the body (R. Drillis and R. Contini, 'Body Segment
/// Parameters', 1966: hand 0.108 of it; from memory), which shows what touches what and no more.
std::optional<PointedAt> pointed_at(const std::optional<std::array<double, 2>>& spot,
                                    const sight::Box& window) {
    if (!spot) return std::nullopt;
    const double ring = 2 * report::kRingRadius * std::max(window.width, window.height);
    return PointedAt{*spot, static_cast<int>(std::lround(ring))};
}

}  // namespace

ClipStills::ClipStills(const meet::State& state, SourceOf source_of, int width, int height,
                       std::stop_token stop)
    : state_(state),
      source_of_(std::move(source_of)),
      width_(width),
      height_(height),
      stop_(stop),
      hider_(state, std::move(stop)) {}

Result<ClipStill> ClipStills::whole(meet::ClipId clip, std::int64_t frame) {
    ClipStill still;
    still.frame = frame;
    const auto source = reader(clip);
    auto picture =
        source ? (*source)->read_alone(frame) : Result<std::shared_ptr<const media::Picture>>(source.error());
    if (!picture) {
        if (picture.error().category == Category::cancelled) return picture.error();
        still.trouble = picture.error();
        return still;
    }
    Shot shot{media::to_rgba(**picture), {}, {}};
    shot.window = {0, 0, shot.picture.width, shot.picture.height};
    const std::vector<ClipPicture> one{
        {&shot.picture, frame, std::nullopt, std::nullopt, shrinking(shot.window)}};
    if (const auto hidden = hider_.hide(clip, one, false); !hidden) return hidden.error();
    if (const auto made = finish(still, shot, std::nullopt, nullptr); !made) return made.error();
    return still;
}

Result<std::vector<ClipStill>> ClipStills::about(meet::ClipId clip, const std::vector<std::int64_t>& frames,
                                                 const meet::Mark* mark, const course::CourseBook* book,
                                                 const std::set<std::string>* only) {
    std::vector<ClipStill> stills;
    std::vector<Shot> shots;
    for (const std::int64_t frame : frames) {
        if (stop_.stop_requested())
            return Error{Category::cancelled, worded("Fetching the stills was stopped."), ""};
        ClipStill& still = stills.emplace_back();
        still.frame = frame;
        auto shot = take(clip, frame, mark);
        if (shot) {
            if (only)
                std::erase_if(shot->drawings,
                              [only](const meet::Drawing& drawing) { return !only->contains(drawing.key); });
            shots.push_back(std::move(*shot));
            continue;
        }
        if (shot.error().category == Category::cancelled) return shot.error();
        still.trouble = shot.error();
    }
    std::vector<ClipPicture> pictures;
    std::vector<ClipStill*> taken;
    const auto spot = spot_of(clip, mark);
    for (ClipStill& still : stills) {
        if (still.trouble) continue;
        Shot& shot = shots[taken.size()];
        taken.push_back(&still);
        pictures.push_back(
            {&shot.picture, still.frame, shot.window, pointed_at(spot, shot.window), shrinking(shot.window)});
    }
    if (pictures.empty()) return stills;
    const bool neighbours = pictures.back().frame - pictures.front().frame <= kNeighbours;
    if (const auto hidden = hider_.hide(clip, pictures, neighbours); !hidden) return hidden.error();
    for (std::size_t i = 0; i < taken.size(); ++i)
        if (const auto made = finish(*taken[i], shots[i], spot, book); !made)
            taken[i]->trouble = made.error();
    return stills;
}

Result<media::FrameReader*> ClipStills::reader(meet::ClipId clip) {
    auto kept = readers_.find(clip);
    if (kept == readers_.end()) {
        const auto open = [&]() -> Result<std::unique_ptr<media::FrameReader>> {
            const auto source = source_of_(clip);
            if (!source) return source.error();
            auto opened = media::FrameReader::open(source->file, source->table, {.stop = stop_});
            if (!opened) return opened.error();
            return std::make_unique<media::FrameReader>(std::move(*opened));
        };
        kept = readers_.emplace(clip, open()).first;
    }
    if (!kept->second) return kept->second.error();
    return kept->second->get();
}

/// The clip's drawings as they lie in this frame; without those that are not known to.
std::vector<meet::Drawing> ClipStills::drawings_in(meet::ClipId clip, std::int64_t frame,
                                                   media::FrameReader& source) {
    const auto placed = placed_.try_emplace(clip, state_, clip).first;
    return placed->second.in(frame, [&source](std::int64_t n) { return source.read_alone(n); });
}

Result<ClipStills::Shot> ClipStills::take(meet::ClipId clip, std::int64_t frame, const meet::Mark* mark) {
    const auto source = reader(clip);
    if (!source) return source.error();
    const auto picture = (*source)->read(frame);
    if (!picture) return picture.error();
    Shot shot{media::to_rgba(**picture), {}, drawings_in(clip, frame, **source)};
    shot.window = window_of(clip, mark, shot);
    return shot;
}

Result<void> ClipStills::finish(ClipStill& still, const Shot& shot,
                                const std::optional<std::array<double, 2>>& spot,
                                const course::CourseBook* book) const {
    const sight::Box& window = shot.window;
    auto part = media::cropped(shot.picture, window.x, window.y, window.width, window.height);
    if (!part) return part.error();
    auto fitted = media::fitted(*part, width_, height_);
    if (!fitted) return fitted.error();
    const double scale = static_cast<double>(fitted->width) / window.width;
    const auto place = [&](std::array<double, 2> p) {
        return std::array<double, 2>{(p[0] - window.x) * scale, (p[1] - window.y) * scale};
    };
    still.outlines = outlines_of(shot.drawings, book);
    for (report::StillOutline& outline : still.outlines) {
        for (auto& point : outline.points)
            point = place(point);
        if (outline.towards) outline.towards = place(*outline.towards);
    }
    if (spot) still.spot = place(*spot);
    still.picture = std::move(*fitted);
    return {};
}

sight::Box ClipStills::window_of(meet::ClipId clip, const meet::Mark* mark, const Shot& shot) const {
    const media::RgbaImage& whole = shot.picture;
    if (!mark) return {0, 0, whole.width, whole.height};
    if (const auto spot = spot_of(clip, mark)) return around((*spot)[0], (*spot)[1], width_, height_, whole);
    const std::string& key = mark->alternatives.front().surface;
    for (const meet::Drawing& drawing : shot.drawings) {
        if (drawing.key != key || drawing.points.empty()) continue;
        std::array<double, 2> low = drawing.points.front();
        std::array<double, 2> high = low;
        for (const auto& point : drawing.points) {
            for (std::size_t axis = 0; axis < 2; ++axis) {
                low[axis] = std::min(low[axis], point[axis]);
                high[axis] = std::max(high[axis], point[axis]);
            }
        }
        // Room for the body above the surface: twice the surface's size, at least a still.
        const int width = std::max(width_, static_cast<int>(1.5 * (high[0] - low[0])));
        return around((low[0] + high[0]) / 2, (low[1] + high[1]) / 2 - width / 8.0, width, width * 3 / 4,
                      whole);
    }
    return {0, 0, whole.width, whole.height};
}

/// Pixels of the still for one of the frame, where it is made smaller.
double ClipStills::shrinking(const sight::Box& window) const {
    return std::min({1.0, static_cast<double>(width_) / std::max(1, window.width),
                     static_cast<double>(height_) / std::max(1, window.height)});
}

}  // namespace plumbmark::review
