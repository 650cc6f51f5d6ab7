#include "review/coach_notes.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "base/catalogue.h"
#include "base/worded.h"
#include "review/evidence.h"
#include "review/internal/clip_source.h"
#include "review/internal/clip_stills.h"
#include "review/mark_list.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

constexpr int kStillWidth = 960, kStillHeight = 720;
constexpr base::Duration kAround{1'000'000'000};

Error nothing_said() {
    return {
        Category::bad_input,
        worded(
            "A note says something, or has its picture on the page: give it words or ask for the picture."),
        ""};
}

const meet::CoachNote* stored(const Session& session, meet::NoteId id) {
    const auto found = session.state().notes().find(id);
    return found == session.state().notes().end() ? nullptr : &found->second;
}

Error no_such_note(meet::NoteId id) {
    return {Category::not_found, worded("There is no note {} in this meet.", id.value), ""};
}

}  // namespace

Result<meet::NoteId> add_note(Session& session, const NewNote& note) {
    const auto source = clip_source(session, note.clip);
    if (!source) return source.error();
    const media::FrameTable& table = *source->table;
    if (note.frame < 0 || note.frame >= table.size())
        return Error{
            Category::bad_input,
            worded("The clip has frames 0 to {}, so there is no frame {}.", table.size() - 1, note.frame),
            session.state().clips().at(note.clip).name};
    if (note.text.empty() && !note.still) return nothing_said();
    const meet::CoachNote made{{session.state().next_id(meet::Kind::coach_note)},
                               session.run(),
                               note.clip,
                               {note.frame, table[note.frame].pts},
                               note.text,
                               note.still};
    Result<void> done =
        session.apply({base::to_translate("write a coach's note"), {{std::nullopt, made}}, 0});
    if (!done) return done.error();
    return made.id;
}

Result<void> change_note(Session& session, meet::NoteId id, const std::string& text, bool still) {
    const meet::CoachNote* before = stored(session, id);
    if (!before) return no_such_note(id);
    if (text.empty() && !still) return nothing_said();
    meet::CoachNote after = *before;
    after.text = text;
    after.still = still;
    if (after == *before) return {};
    return session.apply({base::to_translate("change a coach's note"), {{*before, after}}, 0});
}

Result<void> remove_note(Session& session, meet::NoteId id) {
    const meet::CoachNote* before = stored(session, id);
    if (!before) return no_such_note(id);
    return session.apply({base::to_translate("remove a coach's note"), {{*before, std::nullopt}}, 0});
}

std::vector<meet::CoachNote> notes_in_order(const meet::State& state, meet::RunId run) {
    const auto clocks = run_clocks(state, run);
    const std::vector<meet::ClipId>& clips = state.runs().at(run).clips;
    /// Tied or not, the time, the clip's place, the frame, the id.
    using Place = std::tuple<bool, std::int64_t, std::ptrdiff_t, std::int64_t, std::int64_t>;
    std::vector<std::pair<Place, meet::CoachNote>> placed;
    for (const meet::CoachNote& note : state.notes_of(run)) {
        const auto clock = clocks.find(note.clip);
        const bool tied = clock != clocks.end();
        const base::Time taken = frame_time(state.clips().at(note.clip), note.frame);
        const base::Duration offset =
            tied ? base::Duration{clock->second.low.ns + (clock->second.high - clock->second.low).ns / 2}
                 : base::Duration{};
        const auto clip = std::find(clips.begin(), clips.end(), note.clip) - clips.begin();
        placed.push_back(
            {{!tied, tied ? (taken + offset).ns : 0, clip, note.frame.number, note.id.value}, note});
    }
    std::sort(placed.begin(), placed.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<meet::CoachNote> out;
    for (auto& [place, note] : placed)
        out.push_back(std::move(note));
    return out;
}

std::array<std::int64_t, 2> around_note(const media::FrameTable& table, std::int64_t frame) {
    const std::int64_t last = table.size() - 1;
    const auto at = [&](base::Time t) { return std::clamp<std::int64_t>(table.frame_at(t), 0, last); };
    return {at(table.time(frame) - kAround), at(table.time(frame) + kAround)};
}

Result<NoteStills> note_stills(const Session& session, const std::stop_token& stop) {
    ClipStills stills(
        session.state(), [&session](meet::ClipId clip) { return clip_source(session, clip); }, kStillWidth,
        kStillHeight, stop);
    NoteStills out;
    if (!session.run().valid()) return out;
    for (const meet::CoachNote& note : notes_in_order(session.state(), session.run())) {
        if (!note.still) continue;
        if (stop.stop_requested())
            return Error{Category::cancelled, worded("Fetching the stills was stopped."), ""};
        auto still = stills.whole(note.clip, note.frame.number);
        if (!still) return still.error();
        // Where it lies on this machine is nobody else's business: the sentence without the place.
        const base::Sentence trouble = still->trouble ? still->trouble->sentence : base::Sentence();
        out.stills.push_back({note.id, std::move(still->picture), trouble});
    }
    out.faces = stills.faces();
    return out;
}

}  // namespace plumbmark::review
