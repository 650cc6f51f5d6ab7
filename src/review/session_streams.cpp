// Which streams of a clip's file the reviewer works on.
#include <fmt/format.h>

#include "base/text.h"
#include "review/internal/session_inner.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;

namespace {

/// How many marks, statements, watched spans and drawings rest on the clip's pictures.
std::int64_t rests_on_pictures(const meet::State& state, meet::ClipId clip) {
    std::int64_t count = 0;
    for (const auto& [id, mark] : state.marks())
        for (const meet::Sighting& sighting : mark.sightings)
            count += sighting.clip == clip ? 1 : 0;
    for (const auto& [id, contact] : state.contacts())
        count += contact.clip == clip ? 1 : 0;
    for (const auto& [id, span] : state.watched())
        count += span.clip == clip ? 1 : 0;
    for (const auto& [id, drawing] : state.drawings())
        count += drawing.clip == clip ? 1 : 0;
    return count;
}

template <class Streams>
Result<void> check_ordinal(const std::optional<int>& wanted, const Streams& streams, const char* kind) {
    if (!wanted || (*wanted >= 0 && *wanted < static_cast<int>(streams.size()))) return {};
    return Error{
        Category::bad_input,
        fmt::format("The file has {}, so there is no {} stream {}.",
                    base::counted(static_cast<std::int64_t>(streams.size()), std::string(kind) + " stream"),
                    kind, *wanted + 1),
        ""};
}

}  // namespace

void forget_pictures(meet::Clip& clip) {
    clip.frame_count = 0;
    clip.time_base = {0, 1};
    clip.slowed.reset();
    clip.repeated.reset();
}

Result<void> Session::choose_streams(meet::ClipId id, const meet::StreamChoice& choice) {
    const auto stored = inner_->state.clips().find(id);
    const ClipDesk* desk = inner_->desk_of(id);
    if (stored == inner_->state.clips().end() || !desk)
        return Error{Category::not_found, "There is no such clip in this run.", ""};
    if (!desk->view().table)
        return Error{Category::busy, "The clip is not read yet, so its streams are not known.",
                     desk->view().name};
    const media::ClipInfo& info = desk->view().table->info();
    if (auto fits = check_ordinal(choice.video, info.streams, "video"); !fits) return fits;
    if (auto fits = check_ordinal(choice.sound, info.sounds, "sound"); !fits) return fits;
    meet::Clip chosen = stored->second;
    chosen.streams = choice;
    if (chosen.streams.video == 0) chosen.streams.video.reset();  // the first is what none means
    if (chosen == stored->second) return {};
    if (chosen.streams.video != stored->second.streams.video) {
        const std::int64_t count = rests_on_pictures(inner_->state, id);
        if (count > 0)
            return Error{
                Category::bad_input,
                fmt::format("{} on the pictures of this stream, and would name other ones in another. "
                            "Add the file once more as a clip of its own, and choose the stream "
                            "there.",
                            count == 1 ? "1 mark or drawing rests"
                                       : fmt::format("{} marks and drawings rest", count)),
                stored->second.name};
        forget_pictures(chosen);
        chosen.capture.clear();
    }
    return inner_->commit({"other streams of a clip", {{stored->second, chosen}}, 0});
}

}  // namespace plumbmark::review
