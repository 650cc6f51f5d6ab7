#include "review/exchange.h"

#include <fmt/format.h>

#include <filesystem>
#include <map>
#include <optional>

#include "base/catalogue.h"
#include "review/capture_time.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;

/// Gives stored ids and time stamps to the values of a text.
class TakingIn {
  public:
    TakingIn(const Session& session, const store::MarksText& text) : session_(session), text_(text) {
        next_mark_ = session.state().next_id(meet::Kind::mark);
        next_drawing_ = session.state().next_id(meet::Kind::drawing);
        for (const store::NamedClip& clip : text.clips)
            views_.push_back(find(clip));
    }

    Result<meet::Change> change() {
        meet::Change change{base::to_translate("take in marks"), {}, 0};
        for (meet::Mark mark : text_.marks) {
            mark.id = {next_mark_++};
            mark.run = session_.run();
            for (meet::Sighting& sighting : mark.sightings) {
                place(sighting.early, sighting.clip);
                place(sighting.late, sighting.clip);
                sighting.clip = stored(sighting.clip);
            }
            for (meet::Pointed& pointed : mark.pointed) {
                place(pointed.frame, pointed.clip);
                pointed.clip = stored(pointed.clip);
            }
            if (mark.measured) {
                place(mark.measured->frame, mark.measured->clip);
                mark.measured->clip = stored(mark.measured->clip);
            }
            change.edits.push_back({std::nullopt, mark});
        }
        for (meet::ContactStatement contact : text_.contacts) {
            contact.id = {next_mark_++};
            contact.run = session_.run();
            place(contact.frame, contact.clip);
            contact.clip = stored(contact.clip);
            change.edits.push_back({std::nullopt, contact});
        }
        for (meet::WatchedSpan span : text_.watched) {
            span.id = {next_mark_++};
            span.run = session_.run();
            place(span.from, span.clip);
            place(span.to, span.clip);
            span.clip = stored(span.clip);
            change.edits.push_back({std::nullopt, span});
        }
        for (meet::Drawing drawing : text_.drawings) {
            place(drawing.still, drawing.clip);
            drawing.clip = stored(drawing.clip);
            const std::optional<meet::Entity> before = same_drawing(drawing);
            drawing.id = before ? std::get<meet::Drawing>(*before).id : meet::DrawingId{next_drawing_++};
            if (before != std::optional<meet::Entity>(drawing)) change.edits.push_back({before, drawing});
        }
        for (std::size_t i = 0; i < text_.clips.size(); ++i)
            add_capture(i, change);
        if (error_) return *error_;
        return change;
    }

  private:
    /// By its name, else by its file's; a file may stand in a run twice, with different streams.
    const ClipView* find(const store::NamedClip& wanted) {
        const std::string file_name = std::filesystem::path(wanted.file).filename().string();
        const ClipView* found = nullptr;
        bool named = false;
        for (const ClipView& view : session_.clips()) {
            const meet::Clip& clip = session_.state().clips().at(view.id);
            const std::string path = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
            const bool same_name = clip.name == wanted.key;
            const bool same_file = std::filesystem::path(path).filename().string() == file_name;
            const bool fits = clip.streams.video.value_or(0) == wanted.stream;
            if (same_file && !same_name && !fits) continue;
            if ((same_name && !named) || (same_file && !found)) found = &view;
            named |= same_name;
        }
        if (found) return check(*found, wanted);
        refuse(
            {Category::not_found,
             fmt::format("This run has no clip named '{}' and none whose file is '{}'. Add the clip first.",
                         wanted.key, file_name),
             "clips"});
        return nullptr;
    }

    const ClipView* check(const ClipView& view, const store::NamedClip& wanted) {
        const int stream = view.streams.video.value_or(0);
        if (view.error) {
            refuse(*view.error);
        } else if (!view.table) {
            refuse({Category::busy, "The clip is still being read; exact frame numbers are not known yet.",
                    view.name});
        } else if (stream != wanted.stream) {
            refuse(
                {Category::bad_input,
                 fmt::format("The marks were made on video stream {} of the file, and the clip shows stream "
                             "{}. Choose the other stream first, or add the file as one more clip.",
                             wanted.stream + 1, stream + 1),
                 view.name});
        }
        return &view;
    }

    /// What is drawn already for the same thing on the same clip: the text's drawing takes its place.
    std::optional<meet::Entity> same_drawing(const meet::Drawing& drawing) const {
        for (const auto& [id, kept] : session_.state().drawings()) {
            if (kept.clip == drawing.clip && kept.kind == drawing.kind && kept.key == drawing.key)
                return kept;
        }
        return std::nullopt;
    }

    /// A text that says nothing of a clip's capture time leaves what was said.
    void add_capture(std::size_t index, meet::Change& change) {
        const ClipView* found = views_[index];
        if (text_.clips[index].capture.empty() || !found || !found->table) return;
        Result<meet::CaptureMap> map = completed(text_.clips[index].capture, *found->table);
        if (!map)
            return refuse(
                {map.error().category, map.error().sentence, fmt::format("clips[{}].capture", index)});
        const meet::Clip& before = session_.state().clips().at(found->id);
        meet::Clip after = before;
        after.capture = std::move(*map);
        if (!(after == before)) change.edits.push_back({before, after});
    }

    void refuse(Error error) {
        if (!error_) error_ = std::move(error);
    }

    const ClipView* view(meet::ClipId index) const {
        const auto i = static_cast<std::size_t>(index.value);
        return index.valid() && i < views_.size() ? views_[i] : nullptr;
    }

    meet::ClipId stored(meet::ClipId index) const {
        const ClipView* found = view(index);
        return found ? found->id : meet::ClipId{};
    }

    void place(std::optional<meet::FrameRef>& frame, meet::ClipId clip) {
        if (frame) place(*frame, clip);
    }

    void place(meet::FrameRef& frame, meet::ClipId clip) {
        const ClipView* found = view(clip);
        if (!found || !found->table) return;
        if (frame.number < 0 || frame.number >= found->table->size()) {
            refuse({Category::bad_input,
                    fmt::format("{} has frames 0 to {}, so there is no frame {}.", found->name,
                                found->table->size() - 1, frame.number),
                    ""});
            return;
        }
        frame.pts = (*found->table)[frame.number].pts;
    }

    const Session& session_;
    const store::MarksText& text_;
    std::vector<const ClipView*> views_;
    std::int64_t next_mark_ = 0;
    std::int64_t next_drawing_ = 0;
    std::optional<Error> error_;
};

}  // namespace

Result<void> take_in_marks(Session& session, const store::MarksText& text) {
    if (!session.run().valid())
        return Error{Category::not_found, "There is no run to take the marks into.", ""};
    Result<meet::Change> change = TakingIn(session, text).change();
    if (!change) return change.error();
    if (change->edits.empty()) return {};
    return session.apply(*change);
}

Result<store::MarksText> give_out_marks(const Session& session) {
    return give_out_marks(session.state(), session.run());
}

Result<store::MarksText> give_out_marks(const meet::State& state, meet::RunId of) {
    const auto run = state.runs().find(of);
    if (run == state.runs().end())
        return Error{Category::not_found, "There is no run to give marks out of.", ""};
    store::MarksText text;
    text.run = run->second.label;
    std::map<meet::ClipId, meet::ClipId> index;
    for (const meet::ClipId id : run->second.clips) {
        const meet::Clip& clip = state.clips().at(id);
        index[id] = {static_cast<std::int64_t>(text.clips.size())};
        text.clips.push_back({clip.name,
                              clip.relative_path.empty() ? clip.last_known_path : clip.relative_path,
                              clip.streams.video.value_or(0), clip.capture});
        for (meet::CaptureStretch& stretch : text.clips.back().capture)
            stretch.from.pts = 0;
    }
    const auto without_stamp = [](meet::FrameRef frame) { return meet::FrameRef{frame.number, 0}; };
    for (const meet::Mark& stored : state.marks_of(of)) {
        meet::Mark mark = stored;
        mark.id = {};
        mark.run = {};
        for (meet::Sighting& sighting : mark.sightings) {
            sighting.clip = index.at(sighting.clip);
            if (sighting.early) sighting.early = without_stamp(*sighting.early);
            if (sighting.late) sighting.late = without_stamp(*sighting.late);
        }
        for (meet::Pointed& pointed : mark.pointed) {
            pointed.clip = index.at(pointed.clip);
            pointed.frame = without_stamp(pointed.frame);
        }
        if (mark.measured) {
            mark.measured->clip = index.at(mark.measured->clip);
            mark.measured->frame = without_stamp(mark.measured->frame);
        }
        text.marks.push_back(std::move(mark));
    }
    for (const meet::ContactStatement& stored : state.contacts_of(of)) {
        meet::ContactStatement contact = stored;
        contact.id = {};
        contact.run = {};
        contact.clip = index.at(contact.clip);
        contact.frame = without_stamp(contact.frame);
        text.contacts.push_back(std::move(contact));
    }
    for (const meet::WatchedSpan& stored : state.watched_of(of)) {
        meet::WatchedSpan span = stored;
        span.id = {};
        span.run = {};
        span.clip = index.at(span.clip);
        span.from = without_stamp(span.from);
        span.to = without_stamp(span.to);
        text.watched.push_back(std::move(span));
    }
    for (const auto& [id, stored] : state.drawings()) {
        if (!index.contains(stored.clip)) continue;
        meet::Drawing drawing = stored;
        drawing.id = {};
        drawing.clip = index.at(stored.clip);
        if (drawing.still) drawing.still = without_stamp(*drawing.still);
        text.drawings.push_back(std::move(drawing));
    }
    return text;
}

}  // namespace plumbmark::review
