#include "review/clip_cameras.h"

#include <cmath>
#include <utility>
#include <vector>

#include "base/worded.h"
#include "follow/follower.h"
#include "media/frame_reader.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

std::vector<follow::Point> points_of(const meet::CameraStand& stand) {
    std::vector<follow::Point> points;
    for (const meet::StandPoint& one : stand.points)
        points.push_back(one.at);
    for (const meet::StandEdge& edge : stand.edges)
        points.insert(points.end(), edge.at.begin(), edge.at.end());
    return points;
}

}  // namespace

/// The still of one stand, with what is to be found again in other frames.
struct ClipCameras::Source {
    media::FrameReader reader;
    follow::Follower follower;
};

ClipCameras::ClipCameras(meet::State state, course::CourseBook book,
                         std::map<meet::ClipId, ReadableClip> clips, std::stop_token stop)
    : state_(std::move(state)), book_(std::move(book)), clips_(std::move(clips)), stop_(std::move(stop)) {}

ClipCameras::~ClipCameras() = default;

std::optional<meet::CameraStand> carried_stand(const meet::CameraStand& stand, const meet::FrameRef& frame,
                                               const follow::Mapping& mapping, double error) {
    meet::CameraStand there = stand;
    there.still = frame;
    const double more = error / 1.96;
    const auto move = [&](std::array<double, 2>& at) {
        const auto moved = mapping(at);
        if (moved) at = *moved;
        return moved.has_value();
    };
    for (meet::StandPoint& point : there.points) {
        if (!move(point.at)) return std::nullopt;
        point.standard = std::hypot(point.standard, more);
    }
    for (meet::StandEdge& edge : there.edges) {
        for (auto& at : edge.at)
            if (!move(at)) return std::nullopt;
        edge.standard = std::hypot(edge.standard, more);
    }
    return there;
}

Result<std::optional<meet::CameraStand>> ClipCameras::carried(const meet::CameraStand& stand,
                                                              const ReadableClip& clip,
                                                              const meet::FrameRef& frame) {
    auto& source = sources_[stand.id.value];
    if (!source) {
        media::ReaderOptions options;
        options.stop = stop_;
        auto reader = media::FrameReader::open(clip.file, clip.table, options);
        if (!reader) return reader.error();
        const auto still = reader->read_alone(stand.still.number);
        if (!still) return still.error();
        auto follower = follow::Follower::make(follow::grey_picture(**still), {points_of(stand)});
        if (!follower) return follower.error();
        source = std::make_unique<Source>(Source{std::move(*reader), std::move(*follower)});
    }
    const auto picture = source->reader.read_alone(frame.number);
    if (!picture) return picture.error();
    const follow::Fit fit = source->follower.fit(follow::grey_picture(**picture));
    if (fit.still) return std::optional<meet::CameraStand>();
    const follow::ShapeFit& shape = fit.shapes.front();
    auto there = shape.verdict == follow::Verdict::fits
                     ? carried_stand(stand, frame, shape.mapping, shape.error)
                     : std::nullopt;
    if (!there)
        return Error{
            Category::unsupported,
            worded("The scene in which the camera was found (f {}) is not found again in f {}. Point at "
                   "the places of the plan there.",
                   stand.still.number, frame.number),
            state_.clips().at(stand.clip).name};
    return there;
}

Result<const FoundCamera*> ClipCameras::found(const meet::CameraStand& stand, const ReadableClip& clip) {
    const Key key{stand.id.value, stand.still.number};
    if (const auto have = found_.find(key); have != found_.end()) return have->second.get();
    auto camera = found_camera(stand, book_, lens_of(state_, stand), form_of(clip.table->info()), stop_);
    if (!camera) return camera.error();
    return (found_[key] = std::make_unique<FoundCamera>(std::move(*camera))).get();
}

Result<const FoundCamera*> ClipCameras::at(meet::ClipId clip, const meet::FrameRef& frame) {
    const meet::CameraStand* stand = nearest_stand(state_, clip, frame.number);
    const auto readable = clips_.find(clip);
    if (stand == nullptr || readable == clips_.end())
        return Error{Category::not_found, worded("Nobody has said yet where this clip's camera stands."), {}};
    const Key key{stand->id.value, frame.number};
    if (const auto have = known_.find(key); have != known_.end()) return have->second;
    if (const auto bad = failed_.find(key); bad != failed_.end()) return bad->second;
    const auto give = [&]() -> Result<const FoundCamera*> {
        if (stand->still.number == frame.number) return found(*stand, readable->second);
        if (readable->second.file.empty())
            return Error{
                Category::not_found,
                worded("The clip's file is away, so nobody can see whether the camera still stands where "
                       "it did."),
                state_.clips().at(clip).name};
        auto there = carried(*stand, readable->second, frame);
        if (!there) return there.error();
        return found(*there ? **there : *stand, readable->second);
    };
    Result<const FoundCamera*> given = give();
    if (given) known_.insert_or_assign(key, *given);
    if (!given && given.error().category != Category::cancelled) failed_.insert_or_assign(key, given.error());
    return given;
}

CameraAt ClipCameras::camera_at() {
    return [this](meet::ClipId clip, const meet::FrameRef& frame) -> const FoundCamera* {
        const auto camera = at(clip, frame);
        return camera ? *camera : nullptr;
    };
}

}  // namespace plumbmark::review
