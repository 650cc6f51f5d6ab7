// Which streams of a clip's file the reviewer works on.

#include <algorithm>

#include "base/worded.h"
#include "review/internal/session_inner.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using base::worded_n;

namespace {

/// Whether a mark was seen on the clip, or points at a place of its pictures.
bool rests_on(const meet::Mark& mark, meet::ClipId clip) {
    const auto on_clip = [clip](const auto& one) { return one.clip == clip; };
    return std::any_of(mark.sightings.begin(), mark.sightings.end(), on_clip) ||
           std::any_of(mark.pointed.begin(), mark.pointed.end(), on_clip);
}

/// How many marks, statements, watched spans, drawings and stands of the camera rest on the clip's pictures.
std::int64_t rests_on_pictures(const meet::State& state, meet::ClipId clip) {
    std::int64_t count = 0;
    for (const auto& [id, mark] : state.marks())
        count += rests_on(mark, clip) ? 1 : 0;
    for (const auto& [id, contact] : state.contacts())
        count += contact.clip == clip ? 1 : 0;
    for (const auto& [id, span] : state.watched())
        count += span.clip == clip ? 1 : 0;
    for (const auto& [id, drawing] : state.drawings())
        count += drawing.clip == clip ? 1 : 0;
    for (const auto& [id, stand] : state.stands())
        count += stand.clip == clip ? 1 : 0;
    return count;
}

template <class Streams>
bool has(const Streams& streams, const std::optional<int>& wanted) {
    return !wanted || (*wanted >= 0 && *wanted < static_cast<int>(streams.size()));
}

Result<void> check_choice(const meet::StreamChoice& choice, const media::ClipInfo& info) {
    if (!has(info.streams, choice.video))
        return Error{Category::bad_input,
                     worded_n("The file has {} video stream, so there is no video stream {}.",
                              "The file has {} video streams, so there is no video stream {}.",
                              std::ssize(info.streams), *choice.video + 1),
                     ""};
    if (!has(info.sounds, choice.sound))
        return Error{Category::bad_input,
                     worded_n("The file has {} sound stream, so there is no sound stream {}.",
                              "The file has {} sound streams, so there is no sound stream {}.",
                              std::ssize(info.sounds), *choice.sound + 1),
                     ""};
    return {};
}

}  // namespace

void forget_pictures(meet::Clip& clip) {
    clip.frame_count = 0;
    clip.time_base = {0, 1};
    clip.slowed.reset();
    clip.picture.reset();
    clip.repeated.reset();
}

Result<void> Session::choose_streams(meet::ClipId id, const meet::StreamChoice& choice) {
    const auto stored = inner_->state.clips().find(id);
    const ClipDesk* desk = inner_->desk_of(id);
    if (stored == inner_->state.clips().end() || !desk)
        return Error{Category::not_found, worded("There is no such clip in this run."), ""};
    if (!desk->view().table)
        return Error{Category::busy, worded("The clip is not read yet, so its streams are not known."),
                     desk->view().name};
    const media::ClipInfo& info = desk->view().table->info();
    if (auto fits = check_choice(choice, info); !fits) return fits;
    meet::Clip chosen = stored->second;
    chosen.streams = choice;
    if (chosen.streams.video == 0) chosen.streams.video.reset();  // the first is what none means
    if (chosen == stored->second) return {};
    if (chosen.streams.video != stored->second.streams.video) {
        const std::int64_t count = rests_on_pictures(inner_->state, id);
        if (count > 0)
            return Error{
                Category::bad_input,
                worded_n("{} mark, drawing or stand of the camera rests on the pictures of this stream, and "
                         "would name other ones in another. Add the file once more as a clip of its own, and "
                         "choose the stream there.",
                         "{} marks, drawings and stands of the camera rest on the pictures of this stream, "
                         "and would name other ones in another. Add the file once more as a clip of its own, "
                         "and choose the stream there.",
                         count),
                stored->second.name};
        forget_pictures(chosen);
        chosen.capture.clear();
    }
    return inner_->commit({"other streams of a clip", {{stored->second, chosen}}, 0});
}

}  // namespace plumbmark::review
