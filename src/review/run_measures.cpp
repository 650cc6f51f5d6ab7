#include "review/run_measures.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/worded.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

const char* how_key(MeasuredHow how) {
    switch (how) {
        case MeasuredHow::on_surface:
            return "on_surface";
        case MeasuredHow::in_the_air:
            return "in_the_air";
        case MeasuredHow::seen_by_two:
            return "seen_by_two";
    }
    return "on_surface";
}

const char* side_key(sight::Side side) {
    switch (side) {
        case sight::Side::before:
            return "before";
        case sight::Side::on:
            return "on";
        case sight::Side::past:
            return "past";
        case sight::Side::cannot_tell:
            return "cannot_tell";
    }
    return "cannot_tell";
}

report::MeasureEntry entry_of(const Measured& one) {
    report::MeasureEntry::Distance distance;
    distance.plane = one.plane;
    distance.how = how_key(one.how);
    distance.side = side_key(one.distance.side);
    const auto put = [](double(&ends)[2], const sight::Span& span) {
        ends[0] = span.low;
        ends[1] = span.high;
    };
    put(distance.best, one.distance.best);
    put(distance.likely, one.distance.likely);
    put(distance.sure, one.distance.sure);
    distance.by_draws = one.distance.by_draws;
    return {one.mark, one.says, one.rests_on, distance};
}

/// Pointed at on two frames of one clip: somebody wants to know when.
bool asks_when(const meet::Mark& mark) {
    std::set<meet::ClipId> once;
    return std::any_of(mark.pointed.begin(), mark.pointed.end(),
                       [&](const meet::Pointed& one) { return !once.insert(one.clip).second; });
}

bool any_stand(const meet::State& state, meet::RunId run) {
    const auto found = state.runs().find(run);
    if (found == state.runs().end()) return false;
    const std::vector<meet::ClipId>& clips = found->second.clips;
    return std::any_of(state.stands().begin(), state.stands().end(), [&](const auto& stand) {
        return std::find(clips.begin(), clips.end(), stand.second.clip) != clips.end();
    });
}

/// Why nothing is measured where somebody pointed, of clips whose camera stands somewhere.
void tell_lost_cameras(const meet::State& state, const meet::Mark& mark, ClipCameras& cameras,
                       std::vector<Error>& troubles) {
    for (const meet::Pointed& one : mark.pointed) {
        const bool stands = std::any_of(state.stands().begin(), state.stands().end(),
                                        [&](const auto& stand) { return stand.second.clip == one.clip; });
        if (!stands || one.followed) continue;
        const auto camera = cameras.at(one.clip, one.frame);
        if (camera || camera.error().category == Category::cancelled) continue;
        const bool told = std::any_of(troubles.begin(), troubles.end(), [&](const Error& before) {
            return before.sentence == camera.error().sentence;
        });
        if (!told) troubles.push_back(camera.error());
    }
}

}  // namespace

Result<std::vector<MarkMeasured>> run_measures(const meet::State& state, meet::RunId run,
                                               const course::CourseBook& book, ClipCameras& cameras,
                                               const std::function<bool()>& stopped) {
    std::vector<MarkMeasured> out;
    if (book.plan.planes.empty() || !any_stand(state, run)) return out;
    const CameraAt camera_at = cameras.camera_at();
    for (const meet::Mark& mark : state.marks_of(run)) {
        if (stopped && stopped()) return Error{Category::cancelled, worded("The measuring was stopped."), {}};
        if (pointed_of(mark).empty()) continue;
        MarkMeasured one{mark.id, measures_of(state, mark, book, camera_at), {}, {}};
        tell_lost_cameras(state, mark, cameras, one.measures.troubles);
        if (asks_when(mark)) {
            auto moment = measured_moment(state, mark, book, camera_at);
            if (moment)
                one.moment = std::move(*moment);
            else
                one.moment_trouble = moment.error();
        }
        if (!one.empty()) out.push_back(std::move(one));
    }
    return out;
}

std::map<meet::ClipId, ReadableClip> readable_clips(const Session& session) {
    std::map<meet::ClipId, ReadableClip> clips;
    for (const ClipView& clip : session.clips())
        if (clip.table)
            clips.insert({clip.id, {clip.error ? std::filesystem::path() : clip.file, clip.table}});
    return clips;
}

Result<std::vector<MarkMeasured>> run_measures(const Session& session, const std::stop_token& stop) {
    if (session.book() == nullptr) return std::vector<MarkMeasured>();
    ClipCameras cameras(session.state(), *session.book(), readable_clips(session), stop);
    return run_measures(session.state(), session.run(), *session.book(), cameras,
                        [&] { return stop.stop_requested(); });
}

base::Sentence taken_moment_words(const meet::MeasuredMoment& moment) {
    const auto ms = [](base::Duration d) {
        return fmt::format("{:.1f} ms", static_cast<double>(d.ns) * 1e-6);
    };
    return worded("measured: between {} and {} after f {}", ms(moment.from), ms(moment.to),
                  moment.frame.number);
}

void add_measures(const std::vector<MarkMeasured>& measured, const meet::State& state, meet::RunId run,
                  report::RulingDocument& document) {
    for (const MarkMeasured& one : measured) {
        for (const Measured& distance : one.measures.found)
            document.measures.push_back(entry_of(distance));
        if (one.moment)
            document.measures.push_back({one.mark, one.moment->says, one.moment->rests_on, std::nullopt});
    }
    for (const meet::Mark& mark : state.marks_of(run))
        if (mark.measured)
            document.measures.push_back(
                {mark.id, taken_moment_words(*mark.measured),
                 worded("The reviewer took this instant into the mark; the ruling rests "
                        "on it."),
                 std::nullopt});
    std::stable_sort(document.measures.begin(), document.measures.end(),
                     [](const auto& a, const auto& b) { return a.mark < b.mark; });
}

}  // namespace plumbmark::review
