// The marking commands of a session.
#include <fmt/format.h>

#include <algorithm>

#include "base/catalogue.h"
#include "base/worded.h"
#include "review/capture_time.h"
#include "review/internal/session_inner.h"
#include "review/words.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

namespace {

Error nothing_selected() {
    return {
        Category::not_found,
        worded("Nothing is selected. Click a mark on the run strip, or step to one with Ctrl and an arrow."),
        ""};
}

/// An end of a bracket moved by frames on the clip; past the clip's ends it becomes 'before' or 'after' it.
std::optional<meet::FrameRef> moved(const std::optional<meet::FrameRef>& end, std::int64_t frames,
                                    bool is_early, const media::FrameTable& table) {
    const std::int64_t from = end ? end->number : (is_early ? -1 : table.size());
    const std::int64_t to = from + frames;
    if (to < 0 || to >= table.size()) {
        const bool outside = is_early ? to < 0 : to >= table.size();
        if (outside) return std::nullopt;
        return is_early ? meet::FrameRef{table.size() - 1, table[table.size() - 1].pts}
                        : meet::FrameRef{0, table[0].pts};
    }
    return meet::FrameRef{to, table[to].pts};
}

bool in_order(const meet::Sighting& sighting) {
    return !sighting.early || !sighting.late || sighting.early->pts < sighting.late->pts;
}

}  // namespace

const meet::Mark* Session::Inner::selected_mark() const {
    const auto found = state.marks().find(selected);
    return found == state.marks().end() ? nullptr : &found->second;
}

Result<meet::FrameRef> Session::Inner::frame_ref(std::int64_t frame) {
    ClipDesk* desk = current_desk();
    if (!desk)
        return Error{Category::not_found, worded("There is no clip yet. Drop one onto the window."), ""};
    const ClipView& view = desk->view();
    if (view.error) return *view.error;
    if (!view.table)
        return Error{Category::busy,
                     worded("The clip is still being read; exact frame numbers are not known yet."),
                     view.name};
    if (frame < 0 || frame >= view.table->size())
        return Error{
            Category::bad_input,
            worded("The clip has frames 0 to {}, so there is no frame {}.", view.table->size() - 1, frame),
            view.name};
    return meet::FrameRef{frame, (*view.table)[frame].pts};
}

Result<meet::FrameRef> Session::Inner::frame_to_mark() {
    ClipDesk* desk = current_desk();
    Result<meet::FrameRef> here = frame_ref(desk ? desk->frame() : 0);
    if (!here) return here;
    if (!desk->picture().exact)
        return Error{Category::busy,
                     worded("The picture on the screen is not the exact frame yet, so it cannot be marked."),
                     ""};
    return here;
}

Result<void> Session::Inner::check_event(const meet::Event& event) const {
    const bool contact = event.kind == meet::EventKind::touch || event.kind == meet::EventKind::release;
    if (contact && !event.part)
        return Error{Category::bad_input,
                     worded("A touch or release needs a limb; the whole athlete only crosses planes."), ""};
    if (!book) return {};
    if (contact && !event.surface.empty() && !book->find_surface(event.surface).valid())
        return Error{Category::not_found, worded("The course book declares no surface '{}'.", event.surface),
                     ""};
    if (event.kind == meet::EventKind::cross && !book->find_plane(event.plane).valid())
        return Error{Category::not_found,
                     event.plane.empty()
                         ? worded("No plane is chosen. Choose one with the keys or click its line.")
                         : worded("The course book declares no plane '{}'.", event.plane),
                     ""};
    return {};
}

const Hand& Session::hand() const {
    return inner_->hand;
}
void Session::set_hand(const Hand& hand) {
    inner_->hand = hand;
}

Result<meet::MarkId> Session::mark(const meet::Event& event, std::optional<std::array<double, 2>> spot) {
    Result<meet::FrameRef> here = inner_->frame_to_mark();
    if (!here) return here.error();
    if (Result<void> fits = inner_->check_event(event); !fits) return fits.error();
    meet::Mark mark;
    mark.id = {inner_->state.next_id(meet::Kind::mark)};
    mark.run = inner_->run;
    mark.alternatives = {event};
    mark.spot = spot;
    std::optional<meet::FrameRef> before;
    if (here->number > 0) before = *inner_->frame_ref(here->number - 1);
    mark.sightings = {{inner_->clip, before, *here}};
    Result<void> done = inner_->commit_one("mark " + event_words(event, book()), std::nullopt, mark);
    if (!done) return done.error();
    inner_->selected = mark.id;
    return mark.id;
}

Result<meet::MarkId> Session::state_contact(course::Part part, const std::string& surface, bool on) {
    Result<meet::FrameRef> here = inner_->frame_to_mark();
    if (!here) return here.error();
    meet::ContactStatement contact;
    contact.id = {inner_->state.next_id(meet::Kind::contact)};
    contact.run = inner_->run;
    contact.clip = inner_->clip;
    contact.frame = *here;
    contact.part = part;
    contact.surface = surface;
    contact.on = on;
    meet::Event named;
    named.part = part;
    named.surface = surface;
    if (Result<void> fits = inner_->check_event(named); !fits) return fits.error();
    Result<void> done = inner_->commit_one(
        fmt::format("{} {} {}", course::part_words(part), on ? "on" : "off", surface), std::nullopt, contact);
    if (!done) return done.error();
    inner_->selected = contact.id;
    return contact.id;
}

Result<meet::MarkId> Session::watch(std::int64_t from, std::int64_t to, const meet::Scope& scope) {
    if (from >= to)
        return Error{Category::bad_input, worded("A watched span ends at a later frame than it begins."), ""};
    Result<meet::FrameRef> first = inner_->frame_ref(from);
    if (!first) return first.error();
    Result<meet::FrameRef> last = inner_->frame_ref(to);
    if (!last) return last.error();
    meet::WatchedSpan span{
        {inner_->state.next_id(meet::Kind::watched)}, inner_->run, inner_->clip, *first, *last, scope};
    Result<void> done =
        inner_->commit_one(fmt::format("watched f {} to {}", from, to), std::nullopt, meet::Entity{span});
    if (!done) return done.error();
    inner_->selected = span.id;
    return span.id;
}

void Session::note_shown(meet::ClipId clip) {
    if (ClipDesk* desk = inner_->desk_of(clip)) desk->note_shown();
}

std::int64_t Session::frames_not_displayed(std::int64_t from, std::int64_t to) const {
    const ClipDesk* desk = inner_->current_desk();
    return desk ? desk->displayed().missing(from, to) : 0;
}

std::vector<std::array<std::int64_t, 2>> Session::displayed() const {
    const ClipDesk* desk = inner_->current_desk();
    return desk ? desk->displayed().stretches() : std::vector<std::array<std::int64_t, 2>>{};
}

meet::MarkId Session::selected() const {
    return inner_->selected;
}
void Session::select(meet::MarkId id) {
    inner_->selected = id;
}

namespace {

/// Which end of a bracket or span a key moves.
enum class End { early, late };

Result<meet::Sighting> moved_sighting(const meet::Sighting& now, End end, std::int64_t frames,
                                      const media::FrameTable& table) {
    meet::Sighting sighting = now;
    if (end == End::early) {
        sighting.early = moved(now.early, frames, true, table);
    } else {
        sighting.late = moved(now.late, frames, false, table);
    }
    if (!in_order(sighting))
        return Error{Category::bad_input, worded("The early end of a bracket stays before its late end."),
                     ""};
    return sighting;
}

}  // namespace

Result<void> Session::move_early(std::int64_t frames) {
    return inner_->move_end(true, frames);
}
Result<void> Session::move_late(std::int64_t frames) {
    return inner_->move_end(false, frames);
}

Result<void> Session::Inner::move_end(bool early, std::int64_t frames) {
    ClipDesk* desk = current_desk();
    const auto table = desk ? desk->view().table : nullptr;
    if (!table) return Error{Category::busy, worded("The clip is still being read."), ""};
    const End end = early ? End::early : End::late;
    if (const meet::Mark* mark = selected_mark()) {
        meet::Mark changed = *mark;
        for (meet::Sighting& sighting : changed.sightings) {
            if (sighting.clip != clip) continue;
            Result<meet::Sighting> next = moved_sighting(sighting, end, frames, *table);
            if (!next) return next.error();
            sighting = *next;
            return commit_one("bracket " + bracket_words(sighting), *mark, changed);
        }
        return Error{Category::not_found, worded("The selected mark is not bracketed on this clip."), ""};
    }
    if (const auto span = state.watched().find(selected); span != state.watched().end()) {
        if (span->second.clip != clip)
            return Error{Category::not_found, worded("The selected watched span lies on another clip."), ""};
        meet::WatchedSpan changed = span->second;
        meet::FrameRef& moving = early ? changed.from : changed.to;
        const std::int64_t to = std::clamp<std::int64_t>(moving.number + frames, 0, table->size() - 1);
        moving = {to, (*table)[to].pts};
        if (changed.from.number >= changed.to.number)
            return Error{Category::bad_input, worded("A watched span ends at a later frame than it begins."),
                         ""};
        return commit_one(fmt::format("watched f {} to {}", changed.from.number, changed.to.number),
                          span->second, changed);
    }
    return nothing_selected();
}

Result<void> Session::toggle_possible() {
    const meet::Mark* mark = inner_->selected_mark();
    if (!mark) return nothing_selected();
    meet::Mark changed = *mark;
    changed.possible = !mark->possible;
    return inner_->commit_one(changed.possible ? "possible" : "certain", *mark, changed);
}

Result<void> Session::set_grade(ruling::Grade grade) {
    const meet::Mark* mark = inner_->selected_mark();
    if (!mark) return nothing_selected();
    meet::Mark changed = *mark;
    for (meet::Event& event : changed.alternatives) {
        if (event.kind == meet::EventKind::touch) event.grade = grade;
    }
    if (changed == *mark) return {};
    return inner_->commit_one(base::to_translate("grade of a touch"), *mark, changed);
}

Result<void> Session::set_note(const std::string& note) {
    const meet::Mark* mark = inner_->selected_mark();
    if (!mark) return nothing_selected();
    meet::Mark changed = *mark;
    changed.note = note;
    if (changed == *mark) return {};
    return inner_->commit_one(base::to_translate("note on a mark"), *mark, changed);
}

Result<void> Session::add_alternative(const meet::Event& event) {
    const meet::Mark* mark = inner_->selected_mark();
    if (!mark) return nothing_selected();
    if (Result<void> fits = inner_->check_event(event); !fits) return fits;
    if (std::find(mark->alternatives.begin(), mark->alternatives.end(), event) != mark->alternatives.end())
        return Error{Category::bad_input, worded("That is already one of the mark's alternatives."), ""};
    meet::Mark changed = *mark;
    changed.alternatives.push_back(event);
    return inner_->commit_one("or " + event_words(event, book()), *mark, changed);
}

namespace {

/// Puts the sighting in the place of the one on its clip, or beside the others.
void set_sighting(meet::Mark& mark, const meet::Sighting& seen) {
    const auto same = std::find_if(mark.sightings.begin(), mark.sightings.end(),
                                   [&](const meet::Sighting& s) { return s.clip == seen.clip; });
    if (same == mark.sightings.end())
        mark.sightings.push_back(seen);
    else
        *same = seen;
}

}  // namespace

Result<void> Session::sight_here() {
    const meet::Mark* mark = inner_->selected_mark();
    if (!mark) return nothing_selected();
    Result<meet::FrameRef> here = inner_->frame_to_mark();
    if (!here) return here.error();
    meet::Mark changed = *mark;
    meet::Sighting seen{inner_->clip, std::nullopt, *here};
    if (here->number > 0) seen.early = *inner_->frame_ref(here->number - 1);
    set_sighting(changed, seen);
    if (changed == *mark) return {};
    return inner_->commit_one(base::to_translate("seen on this clip too"), *mark, changed);
}

Result<void> Session::sight_on(meet::ClipId clip, std::int64_t early, std::int64_t late) {
    const meet::Mark* mark = inner_->selected_mark();
    if (!mark) return nothing_selected();
    const ClipDesk* desk = inner_->desk_of(clip);
    if (!desk) return Error{Category::not_found, worded("This run has no such clip."), ""};
    const auto table = desk->view().table;
    if (!table) return Error{Category::busy, worded("The clip is still being read."), desk->view().name};
    const auto frame = [&](std::int64_t n) -> std::optional<meet::FrameRef> {
        if (n < 0 || n >= table->size()) return std::nullopt;
        return meet::FrameRef{n, (*table)[n].pts};
    };
    if (early >= late || late < 0 || early >= table->size())
        return Error{Category::bad_input,
                     worded("The early end of a bracket lies before its late end, on the clip."),
                     desk->view().name};
    meet::Mark changed = *mark;
    set_sighting(changed, {clip, frame(early), frame(late)});
    if (changed == *mark) return {};
    return inner_->commit_one(base::to_translate("seen on another clip"), *mark, changed);
}

Result<void> Session::remove_selected() {
    for (const meet::Kind kind : {meet::Kind::mark, meet::Kind::contact, meet::Kind::watched}) {
        std::optional<meet::Entity> stored = inner_->state.find({kind, inner_->selected.value});
        if (!stored) continue;
        return inner_->commit_one(std::string("remove ") + (kind == meet::Kind::mark      ? "mark"
                                                            : kind == meet::Kind::contact ? "statement"
                                                                                          : "watched span"),
                                  std::move(stored), std::nullopt);
    }
    return nothing_selected();
}

std::optional<std::int64_t> Session::neighbour_mark(int direction) const {
    std::optional<std::int64_t> best;
    const std::int64_t here = frame();
    const auto offer = [&](const std::optional<meet::FrameRef>& frame) {
        if (!frame) return;
        const std::int64_t n = frame->number;
        if (direction > 0 ? n > here && (!best || n < *best) : n < here && (!best || n > *best)) best = n;
    };
    for (const meet::Mark& mark : inner_->state.marks_of(inner_->run)) {
        for (const meet::Sighting& sighting : mark.sightings) {
            if (sighting.clip == inner_->clip) offer(sighting.late ? sighting.late : sighting.early);
        }
    }
    for (const meet::ContactStatement& contact : inner_->state.contacts_of(inner_->run)) {
        if (contact.clip == inner_->clip) offer(contact.frame);
    }
    return best;
}

void Session::go_to(const ruling::Shown& shown) {
    const auto index = static_cast<std::size_t>(shown.clip.value);
    if (!shown.clip.valid() || index >= inner_->ruling.clips.size()) return;
    select_clip(inner_->ruling.clips[index]);
    const ClipView* view = current_clip();
    if (!view || !view->table) return;
    const std::optional<base::Time> wanted = shown.until ? shown.until : shown.after;
    const meet::Clip& stored = inner_->state.clips().at(view->id);
    if (wanted) go_to_frame(std::max<std::int64_t>(0, frame_captured_at(stored, *view->table, *wanted)));
}

void Session::go_to_mark(meet::MarkId id) {
    const auto go = [&](meet::ClipId clip, const std::optional<meet::FrameRef>& frame) {
        select_clip(clip);
        if (frame) go_to_frame(frame->number);
    };
    const meet::State& state = inner_->state;
    if (const auto mark = state.marks().find(id);
        mark != state.marks().end() && !mark->second.sightings.empty()) {
        const auto& sightings = mark->second.sightings;
        const auto here = std::find_if(sightings.begin(), sightings.end(),
                                       [&](const meet::Sighting& s) { return s.clip == inner_->clip; });
        const meet::Sighting& sighting = here == sightings.end() ? sightings.front() : *here;
        go(sighting.clip, sighting.late ? sighting.late : sighting.early);
    } else if (const auto contact = state.contacts().find(id); contact != state.contacts().end()) {
        go(contact->second.clip, contact->second.frame);
    } else if (const auto span = state.watched().find(id); span != state.watched().end()) {
        go(span->second.clip, span->second.from);
    } else {
        return;
    }
    select(id);
}

Result<meet::DrawingId> Session::put_drawing(meet::DrawingKind kind, const std::string& key,
                                             const std::vector<std::array<double, 2>>& points,
                                             std::optional<std::array<double, 2>> towards) {
    if (!inner_->desks.contains(inner_->clip))
        return Error{Category::not_found,
                     worded("There is no clip to draw on yet. Drop one onto the window."), ""};
    meet::Drawing drawing{{}, inner_->clip, kind, key, points, towards};
    const Result<meet::FrameRef> here = inner_->frame_ref(inner_->current_desk()->frame());
    if (!here) return here.error();
    drawing.still = *here;
    for (const auto& [id, stored] : inner_->state.drawings()) {
        if (stored.clip != drawing.clip || stored.kind != kind || stored.key != key) continue;
        drawing.id = id;
        if (drawing == stored) return id;
        Result<void> done = inner_->commit_one("redraw " + key, stored, drawing);
        if (!done) return done.error();
        return id;
    }
    drawing.id = {inner_->state.next_id(meet::Kind::drawing)};
    Result<void> done = inner_->commit_one("draw " + key, std::nullopt, drawing);
    if (!done) return done.error();
    return drawing.id;
}

Result<void> Session::remove_drawing(meet::DrawingId id) {
    const auto stored = inner_->state.drawings().find(id);
    if (stored == inner_->state.drawings().end())
        return Error{Category::not_found, worded("There is no such drawing."), ""};
    return inner_->commit_one("remove drawing of " + stored->second.key, stored->second, std::nullopt);
}

Result<void> Session::apply(const meet::Change& change) {
    return inner_->commit(change);
}

}  // namespace plumbmark::review
