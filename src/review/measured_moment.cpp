#include "review/measured_moment.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/worded.h"
#include "review/clip_ties.h"
#include "review/evidence.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::Sentence;
using base::worded;

/// Of clocks, as the rulings suppose it (ruling::Settings).
constexpr double kDrift = 50e-6;

Error refused(Sentence sentence) {
    return {Category::bad_input, std::move(sentence), {}};
}

base::Duration row_delay_of(const meet::Clip& clip) {
    return clip.row_delay.value_or(kDefaultRowDelay);
}

std::vector<meet::Pointed> on_clip(const meet::Mark& mark, const meet::Clip& clip) {
    std::vector<meet::Pointed> points;
    for (const meet::Pointed& one : mark.pointed)
        if (one.clip == clip.id) points.push_back(one);
    std::sort(points.begin(), points.end(),
              [&](const meet::Pointed& a, const meet::Pointed& b) { return a.frame.pts < b.frame.pts; });
    return points;
}

double seconds(base::Duration duration) {
    return static_cast<double>(duration.ns) * 1e-9;
}

/// Of a point that was followed, or that others on the clip were followed from.
std::optional<sight::Placing> placing_of(const meet::Pointed& one,
                                         const std::vector<meet::Pointed>& of_the_clip) {
    if (one.followed) return sight::Placing{one.followed->from, one.followed->standard};
    const bool is_start =
        std::any_of(of_the_clip.begin(), of_the_clip.end(), [&](const meet::Pointed& other) {
            return other.followed && other.followed->from == one.frame.number;
        });
    return is_start ? std::optional(sight::Placing{one.frame.number, 0}) : std::nullopt;
}

const meet::Event* crossing_of(const meet::Mark& mark) {
    if (mark.alternatives.size() != 1 || mark.alternatives.front().kind != meet::EventKind::cross)
        return nullptr;
    return &mark.alternatives.front();
}

class Work {
  public:
    Work(const meet::State& state, const meet::Mark& mark, const course::CourseBook& book,
         const CameraAt& camera_at)
        : state_(state), mark_(mark), book_(book), camera_at_(camera_at) {}

    Result<MomentMeasure> done() {
        const meet::Event* event = crossing_of(mark_);
        if (event == nullptr)
            return refused(worded("Only the crossing of a plane has an instant to be measured."));
        const course::PlaneId plane = book_.find_plane(event->plane);
        if (!plane.valid() || book_.plan.find(plane) == nullptr)
            return refused(
                worded("The course book's plan does not say where this plane is. Add it under "
                       "[plan.planes]."));
        if (auto good = choose_clips(); !good) return good.error();
        sight::CrossingQuestion question;
        question.plane = *plane_for(book_, plane, *first_);
        question.space = space_about(book_, plane);
        if (auto good = fill(question); !good) return good.error();
        auto crossing =
            sight::crossing(first_->camera, question, second_ == nullptr ? nullptr : &second_->camera);
        if (!crossing) return crossing.error();
        return described(*crossing);
    }

  private:
    Result<void> choose_clips() {
        for (const meet::Sighting& seen : mark_.sightings) {
            const auto clip = state_.clips().find(seen.clip);
            if (clip == state_.clips().end() || !seen.early || !seen.late) continue;
            std::vector<meet::Pointed> points = on_clip(mark_, clip->second);
            if (points.size() < 2) continue;
            const FoundCamera* camera = camera_at_(clip->first, points.front().frame);
            if (camera == nullptr) {
                without_camera_ = true;
                continue;
            }
            if (first_ == nullptr) {
                clip_ = &clip->second;
                seen_ = &seen;
                points_ = std::move(points);
                first_ = camera;
            } else if (second_ == nullptr && clip_tie(state_, mark_.run, clip_->id, clip->first)) {
                second_ = camera;
                other_ = clip->first;
            }
        }
        if (first_ != nullptr) return {};
        if (without_camera_)
            return refused(
                worded("Nobody has said yet where this clip's camera stands. Point at the places of "
                       "the plan first."));
        return refused(
            worded("Point at it on two frames at least, one before the crossing and one after, of a "
                   "clip on which the mark has both its frames."));
    }

    Result<void> fill(sight::CrossingQuestion& question) {
        const meet::CaptureClock clock(clip_->capture, clip_->time_base);
        if (clock.unknown_between(points_.front().frame.pts, points_.back().frame.pts))
            return refused(
                worded("How fast these frames were taken is not known, so nothing between them can "
                       "be timed. Say how the clip was taken first."));
        begins_ = clock.time(points_.front().frame.pts);
        const bool turned = first_->form.quarter_turns % 2 != 0;
        const double rows = turned ? first_->form.width : first_->form.height;
        const double delay = seconds(row_delay_of(*clip_)) / rows;
        question.row_delay = {clip_->row_delay ? delay : 0, delay};
        for (const meet::Pointed& one : points_) {
            sight::CrossingFrame frame;
            frame.time = seconds(clock.time(one.frame.pts) - begins_);
            frame.at = {first_->to_camera(one.at), kBodyPointing, {}};
            frame.placing = placing_of(one, points_);
            frame.row = row_share(first_->form, one.at) * rows;
            if (second_ != nullptr) {
                auto there = pointing_at_moment_of(state_, mark_, one, other_, *second_);
                if (!there) return there.error();
                frame.in_second = there->pointing;
                frame.second_placing = there->placing;
            }
            question.frames.push_back(frame);
        }
        return {};
    }

    /// What the mark's own frames say holds as well: not yet at the early one, it had at the late one, each
    /// as late as its last row.
    Result<MomentMeasure> described(const sight::Crossing& crossing) {
        const base::Time early = frame_time(*clip_, *seen_->early);
        const base::Duration late = frame_time(*clip_, *seen_->late) - early + row_delay_of(*clip_);
        const double off = seconds(begins_ - early);
        const double last = seconds(late);
        const auto ns = [](double s) { return static_cast<std::int64_t>(std::llround(s * 1e9)); };
        const double from = std::max(0.0, off + crossing.sure.low),
                     to = std::min(last, off + crossing.sure.high);
        if (!(from < to))
            return refused(
                worded("Measured it crosses outside the mark's own frames, {} after the early one. "
                       "Either the mark or the points are wrong.",
                       moment_words(off + crossing.best)));
        if (!crossing.smooth)
            return refused(
                worded("No smooth movement passes these points within what they can be off. See that "
                       "all of them are of the same part."));
        MomentMeasure out;
        out.moment = {clip_->id, *seen_->early, {std::max<std::int64_t>(0, ns(from))}, {ns(to)}};
        out.crossing = crossing;
        out.says = worded("crosses {} after f {}, 95 % between {} and {}", moment_words(off + crossing.best),
                          seen_->early->number, moment_words(off + crossing.likely.low),
                          moment_words(off + crossing.likely.high));
        out.rests_on =
            second_ != nullptr
                ? worded("Measured from {} frames of {} and a second camera.", points_.size(), clip_->name)
                : worded("Measured from {} frames of {}.", points_.size(), clip_->name);
        if (const auto followed =
                std::count_if(points_.begin(), points_.end(),
                              [](const meet::Pointed& one) { return one.followed.has_value(); });
            followed > 0)
            out.rests_on =
                worded("{} On {} of them the point was followed by the pictures.", out.rests_on, followed);
        return out;
    }

    static std::string moment_words(double s) { return fmt::format("{:.1f} ms", s * 1000); }

    const meet::State& state_;
    const meet::Mark& mark_;
    const course::CourseBook& book_;
    const CameraAt& camera_at_;
    const meet::Clip* clip_ = nullptr;
    const meet::Sighting* seen_ = nullptr;
    std::vector<meet::Pointed> points_;
    const FoundCamera *first_ = nullptr, *second_ = nullptr;
    meet::ClipId other_;
    base::Time begins_;
    bool without_camera_ = false;
};

}  // namespace

Result<MomentMeasure> measured_moment(const meet::State& state, const meet::Mark& mark,
                                      const course::CourseBook& book, const CameraAt& camera_at) {
    return Work(state, mark, book, camera_at).done();
}

Result<PointingThere> pointing_at_moment_of(const meet::State& state, const meet::Mark& mark,
                                            const meet::Pointed& one, meet::ClipId other,
                                            const FoundCamera& camera) {
    const auto here = state.clips().find(one.clip), there = state.clips().find(other);
    const auto tie = clip_tie(state, mark.run, one.clip, other);
    if (here == state.clips().end() || there == state.clips().end() || !tie)
        return refused(
            worded("The two clips are not tied: mark a moment that both show, or tie them by sound."));
    const std::vector<meet::Pointed> points = on_clip(mark, there->second);
    if (points.size() < 2)
        return refused(worded("In {} point at it on two frames, one before that moment and one after.",
                              there->second.name));
    const base::Time wanted = frame_time(here->second, one.frame) + tie->middle();
    // The last two frames that begin no later, or the first two.
    std::size_t after = 1;
    while (after + 1 < points.size() && frame_time(there->second, points[after].frame) < wanted)
        ++after;
    const meet::Pointed &before = points[after - 1], &next = points[after];
    const base::Time from = frame_time(there->second, before.frame);
    const double gap = seconds(frame_time(there->second, next.frame) - from);
    const double part = seconds(wanted - from) / gap;
    if (!(gap > 0) || part < -0.5 || part > 1.5)
        return refused(
            worded("In {} the frames that were pointed at are not around that moment.", there->second.name));
    const sight::Pixel a = camera.to_camera(before.at), b = camera.to_camera(next.at);
    const double left_open = seconds(tie->half()) + seconds(row_delay_of(here->second)) +
                             seconds(row_delay_of(there->second)) +
                             kDrift * std::abs(seconds(wanted - base::Time{}));
    const double share = left_open / gap;
    PointingThere out{{{a.x + part * (b.x - a.x), a.y + part * (b.y - a.y)},
                       kBodyPointing,
                       {share * (b.x - a.x), share * (b.y - a.y)}},
                      {}};
    const auto first = placing_of(before, points), second = placing_of(next, points);
    if (first && second && first->number == second->number)
        out.placing = {first->number, std::max(first->moved, second->moved)};
    return out;
}

meet::Change with_moment(const meet::Mark& mark, const std::optional<meet::MeasuredMoment>& moment) {
    meet::Mark after = mark;
    after.measured = moment;
    return {moment ? "take the measured moment of a mark" : "drop the measured moment of a mark",
            {{mark, after}},
            0};
}

meet::Change with_pointed(const meet::Mark& mark, meet::ClipId clip, const meet::FrameRef& frame,
                          const std::optional<std::array<double, 2>>& at) {
    meet::Mark after = mark;
    std::erase_if(after.pointed, [&](const meet::Pointed& one) {
        if (one.clip != clip) return false;
        return one.frame == frame || (one.followed && one.followed->from == frame.number);
    });
    if (at) after.pointed.push_back({clip, frame, *at});
    after.measured.reset();
    return {at ? "point at a mark's place" : "take a mark's point away", {{mark, after}}, 0};
}

meet::Change with_followed(const meet::Mark& mark, meet::ClipId clip, const meet::FrameRef& from,
                           const std::vector<meet::Pointed>& points) {
    meet::Mark after = mark;
    std::erase_if(after.pointed, [&](const meet::Pointed& one) {
        return one.clip == clip && one.followed && one.followed->from == from.number;
    });
    for (const meet::Pointed& point : points) {
        // What somebody pointed at there holds before what was followed.
        const auto there = std::find_if(
            after.pointed.begin(), after.pointed.end(),
            [&](const meet::Pointed& one) { return one.clip == clip && one.frame == point.frame; });
        if (there == after.pointed.end()) {
            after.pointed.push_back(point);
        } else if (there->followed) {
            *there = point;
        }
    }
    after.measured.reset();
    return {"follow a mark's point", {{mark, after}}, 0};
}

}  // namespace plumbmark::review
