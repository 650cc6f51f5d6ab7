#include "review/follow_point.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <string>

#include "base/worded.h"
#include "media/frame_reader.h"

namespace plumbmark::review {
namespace {

using base::Sentence;
using base::worded;
using follow::PointLoss;

constexpr std::size_t kReaderCache = std::size_t{64} << 20;

Sentence loss_words(PointLoss loss) {
    switch (loss) {
        case PointLoss::no_picture:
            return worded("its picture cannot be read");
        case PointLoss::out_of_picture:
            return worded("it leaves the picture");
        case PointLoss::no_detail:
            return worded("nothing there stands out enough to tell where it went");
        case PointLoss::not_returned:
            return worded("the way back from there leads elsewhere");
        default:
            return worded("what is around it looks otherwise there");
    }
}

std::string frames_words(const std::vector<meet::Pointed>& points) {
    std::string out;
    for (const meet::Pointed& point : points)
        out += (out.empty() ? "f " : ", f ") + std::to_string(point.frame.number);
    return out;
}

}  // namespace

std::pair<std::int64_t, std::int64_t> frames_to_follow(const meet::Mark& mark, const meet::Pointed& start,
                                                       std::int64_t frames_of_clip) {
    const std::int64_t here = start.frame.number;
    std::int64_t first = here - kAroundPoint, last = here + kAroundPoint;
    for (const meet::Sighting& seen : mark.sightings) {
        if (seen.clip != start.clip || !seen.early || !seen.late) continue;
        const std::int64_t early = seen.early->number, late = seen.late->number;
        if (late - early > kWideBracket || here < early - kAroundBracket || here > late + kAroundBracket)
            continue;
        first = early - kAroundBracket;
        last = late + kAroundBracket;
    }
    return {std::max<std::int64_t>(0, first), std::min(frames_of_clip - 1, last)};
}

base::Result<PointFollowed> follow_point(const PointToFollow& asked, const std::stop_token& stop) {
    media::ReaderOptions options;
    options.cache_bytes = kReaderCache;
    options.threads = 1;
    options.stop = stop;
    auto reader = media::FrameReader::open(asked.clip, asked.table, options);
    if (!reader) return reader.error();
    std::vector<follow::GreyPicture> pictures;
    for (std::int64_t frame = asked.first; frame <= asked.last; ++frame) {
        auto picture = reader->read(frame);
        if (picture) {
            pictures.push_back(follow::grey_picture(**picture, std::numeric_limits<int>::max()));
        } else if (frame == asked.start.frame.number ||
                   picture.error().category == base::Category::cancelled) {
            return picture.error();
        } else {
            pictures.emplace_back();
        }
    }
    const auto start = static_cast<std::size_t>(asked.start.frame.number - asked.first);
    const auto track = follow::PointTrack::follow(pictures, start, asked.start.at, {}, stop);
    if (!track) return track.error();
    PointFollowed out;
    for (std::size_t i = 0; i < track->points.size(); ++i) {
        if (i == start) continue;
        const follow::FollowedPoint& point = track->points[i];
        const std::int64_t frame = asked.first + static_cast<std::int64_t>(i);
        const bool badly = point.found() && point.largest_standard() > kFollowedBadly;
        if (!point.found() || badly) {
            out.lost.emplace_back(frame, badly ? PointLoss::no_detail : point.loss);
            continue;
        }
        meet::Pointed followed{asked.start.clip, {frame, (*asked.table)[frame].pts}, point.at};
        followed.followed = {asked.start.frame.number, point.largest_standard()};
        out.points.push_back(followed);
    }
    return out;
}

Sentence followed_words(const PointFollowed& followed) {
    // Of all that were lost the first reason beside a found frame says why; the others were lost with it.
    const auto lost = std::find_if(followed.lost.begin(), followed.lost.end(),
                                   [](const auto& one) { return one.second != PointLoss::lost_before; });
    if (followed.points.empty())
        return lost == followed.lost.end()
                   ? worded("There is no other frame to follow it to.")
                   : worded("It could not be followed: {}. Point at it on each frame.",
                            loss_words(lost->second));
    const Sentence found = worded("Followed to {}.", frames_words(followed.points));
    if (lost == followed.lost.end()) return found;
    return worded("{} Lost at f {}: {}.", found, lost->first, loss_words(lost->second));
}

}  // namespace plumbmark::review
