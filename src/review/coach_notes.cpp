#include "review/coach_notes.h"

#include <algorithm>
#include <map>
#include <memory>
#include <tuple>
#include <utility>

#include "base/catalogue.h"
#include "base/worded.h"
#include "media/frame_reader.h"
#include "media/still.h"
#include "review/evidence.h"
#include "review/faces.h"
#include "review/mark_list.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

constexpr int kStillWidth = 960, kStillHeight = 720;
constexpr base::Duration kAround{1'000'000'000};

const ClipView* view_of(const Session& session, meet::ClipId id) {
    for (const ClipView& view : session.clips())
        if (view.id == id) return &view;
    return nullptr;
}

/// Its frames, or why they are not known.
Result<std::shared_ptr<const media::FrameTable>> table_of(const Session& session, meet::ClipId id) {
    const ClipView* view = view_of(session, id);
    if (!view) return Error{Category::not_found, worded("This run has no such clip."), ""};
    if (view->error) return *view->error;
    if (!view->table)
        return Error{Category::busy, worded("The clip is still being read; try again in a moment."),
                     view->name};
    return view->table;
}

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

/// Fetches the pictures, keeping one reader a clip.
class Stills {
  public:
    Stills(const Session& session, const std::stop_token& stop)
        : session_(session), stop_(stop), hider_(session.state(), stop) {}

    Result<void> add(const meet::CoachNote& note) {
        if (stop_.stop_requested())
            return Error{Category::cancelled, worded("Fetching the stills was stopped."), ""};
        Result<media::RgbaImage> picture = as_filmed(note);
        if (!picture) {
            if (picture.error().category == Category::cancelled) return picture.error();
            // Where it lies on this machine is nobody else's business.
            out_.stills.push_back({note.id, std::nullopt, picture.error().sentence});
            return {};
        }
        const double smaller = std::min({1.0, static_cast<double>(kStillWidth) / std::max(1, picture->width),
                                         static_cast<double>(kStillHeight) / std::max(1, picture->height)});
        const std::vector<ClipPicture> one{
            {&*picture, note.frame.number, std::nullopt, std::nullopt, smaller}};
        if (auto hidden = hider_.hide(note.clip, one, false); !hidden) return hidden;
        Result<media::RgbaImage> fitted = media::fitted(*picture, kStillWidth, kStillHeight);
        if (!fitted) return fitted.error();
        out_.stills.push_back({note.id, std::move(*fitted), {}});
        return {};
    }

    NoteStills finish() {
        out_.faces = hider_.sentence();
        return std::move(out_);
    }

  private:
    Result<media::RgbaImage> as_filmed(const meet::CoachNote& note) {
        std::unique_ptr<media::FrameReader>& reader = readers_[note.clip];
        if (!reader) {
            const auto table = table_of(session_, note.clip);
            if (!table) return table.error();
            auto opened =
                media::FrameReader::open(view_of(session_, note.clip)->file, *table, {.stop = stop_});
            if (!opened) return opened.error();
            reader = std::make_unique<media::FrameReader>(std::move(*opened));
        }
        const auto picture = reader->read_alone(note.frame.number);
        if (!picture) return picture.error();
        return media::to_rgba(**picture);
    }

    const Session& session_;
    std::stop_token stop_;
    FaceHider hider_;
    std::map<meet::ClipId, std::unique_ptr<media::FrameReader>> readers_;
    NoteStills out_;
};

}  // namespace

Result<meet::NoteId> add_note(Session& session, const NewNote& note) {
    const auto table = table_of(session, note.clip);
    if (!table) return table.error();
    if (note.frame < 0 || note.frame >= (*table)->size())
        return Error{
            Category::bad_input,
            worded("The clip has frames 0 to {}, so there is no frame {}.", (*table)->size() - 1, note.frame),
            session.state().clips().at(note.clip).name};
    if (note.text.empty() && !note.still) return nothing_said();
    const meet::CoachNote made{{session.state().next_id(meet::Kind::coach_note)}, session.run(), note.clip,
                               {note.frame, (**table)[note.frame].pts},           note.text,     note.still};
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
    Stills stills(session, stop);
    if (!session.run().valid()) return stills.finish();
    for (const meet::CoachNote& note : notes_in_order(session.state(), session.run())) {
        if (!note.still) continue;
        if (auto added = stills.add(note); !added) return added.error();
    }
    return stills.finish();
}

}  // namespace plumbmark::review
