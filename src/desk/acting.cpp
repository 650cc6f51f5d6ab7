// What each key does: going, the hand, marking, mending. The views' keys are in acting_view.cpp.
#include <fmt/format.h>

#include <algorithm>

#include "desk/crash_report.h"
#include "desk/internal/camera_mode.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/drawing_mode.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

using meet::EventKind;

void DeskCore::key(int physical_key, int mods, bool repeat) {
    const bool listed = views_.chooser.has_value(), written = views_.entry.has_value(),
               secret = views_.secret.has_value();
    press(physical_key, mods, repeat);
    const bool opened = (!written && views_.entry && !views_.entry->takes_key) || (!secret && views_.secret);
    // A digit that chose from a list is not typed into what lies below, either.
    swallow_text_ = listed != views_.chooser.has_value() || opened;
}

void DeskCore::press(int physical_key, int mods, bool repeat) {
    if (views_.new_key) return new_key_pressed(physical_key, mods);
    if (views_.secret) return secret_key(physical_key, mods);
    if (views_.entry && entry_key(physical_key)) return;
    if (views_.entry) return;
    if (views_.chooser) {
        list_key(physical_key, mods);
        return;
    }
    if (session_ && views_.pictures.drawing.active && !views_.help &&
        drawing_key(views_.pictures, *session_, physical_key, mods, commands_)) {
        carry_out_commands();
        return;
    }
    PicturesView& pictures = views_.pictures;
    const bool pointed =
        session_ && !views_.help &&
        ((pictures.camera.active && camera_key(pictures, camera_, physical_key, mods, commands_)) ||
         (pictures.point.active && point_key(pictures, physical_key, mods, commands_)));
    if (pointed) {
        carry_out_commands();
        return;
    }
    const auto action = keys_.find(physical_key, mods, views_.place);
    if (views_.page.kind != PageKind::none && !views_.help && page_key(physical_key, mods, action)) return;
    if (on_the_meet() && !views_.help && meet_key(physical_key, mods, action, repeat)) return;
    if (!action || (repeat && !keys_.binding(*action).repeats)) return;
    if (views_.help) {
        if (*action == Action::help || *action == Action::let_go) views_.help = false;
        if (*action == Action::change_keys) {
            views_.help = false;
            return list_keys({});
        }
        if (physical_key == key_down || physical_key == key_page_down) views_.help_scroll += 1;
        if (physical_key == key_up || physical_key == key_page_up) views_.help_scroll -= 1;
        return;
    }
    act(*action);
    carry_out_commands();
}

void DeskCore::act(Action action) {
    note_step(keys_.binding(action).name);
    if (act_desk(action)) return;
    if (!session_) {
        if (action == Action::take && !options_.sample_meet.empty()) open_sample();
        return;
    }
    if (act_undo(action) || act_meet(action)) return;
    // On the meet's own view a click stands for its key.
    if (on_the_meet()) return (void)meet_.key(meet_hands(), {0, 0, action});
    if (act_export(action) || act_going(action) || act_course(action) || act_hand(action) ||
        act_marking(action) || act_mending(action) || act_sheet(action) || act_camera(action))
        return;
    (void)act_pictures(action);
}

bool DeskCore::act_desk(Action action) {
    switch (action) {
        case Action::help:
            return views_.help = true, true;
        case Action::leave:
            return leaving_ = true, true;
        case Action::full_screen:
            return full_screen_wish_ = true, true;
        case Action::theme:
            look_.theme = static_cast<Theme>((static_cast<int>(look_.theme) + 1) % 3);
            return remember(), true;
        case Action::larger:
        case Action::smaller:
        case Action::usual_size: {
            // Steps of a tenth: fine enough to suit an eye, coarse enough to be found again.
            const double step = action == Action::larger ? 0.1 : -0.1;
            user_scale_ = action == Action::usual_size ? 1 : std::clamp(user_scale_ + step, 0.5, 3.0);
            scale_ = std::clamp(display_scale_ * user_scale_, 0.5, 4.0);
            return remember(), true;
        }
        case Action::recent_meets:
            return list_recent_meets(), true;
        case Action::preferences:
            return list_preferences(0), true;
        case Action::change_keys:
            return list_keys({}), true;
        case Action::guide:
            return begin_guide(), true;
        case Action::open_file:
            return ask_for_files(), true;
        default:
            return false;
    }
}

bool DeskCore::act_going(Action action) {
    const auto go = [&](std::int64_t frame) {
        views_.play.playing = false;
        session_->go_to_frame(frame);
        return true;
    };
    const auto neighbour = [&](int direction) {
        const auto frame = session_->neighbour_mark(direction);
        if (!frame)
            return say(direction > 0 ? tr("No mark after this frame.") : tr("No mark before this frame.")),
                   true;
        for (const Listed& listed : marks_here(*session_))
            if (listed.frame == *frame) session_->select(listed.id);
        return go(*frame);
    };
    PlayView& play = views_.play;
    switch (action) {
        case Action::step_on:
            return go(session_->frame() + 1);
        case Action::step_back:
            return go(session_->frame() - 1);
        case Action::ten_on:
            return go(session_->frame() + 10);
        case Action::ten_back:
            return go(session_->frame() - 10);
        case Action::first_frame:
            return go(0);
        case Action::last_frame: {
            const review::ClipView* clip = session_->current_clip();
            return go(clip && clip->table ? clip->table->size() - 1 : 0);
        }
        case Action::mark_after:
            return neighbour(1);
        case Action::mark_before:
            return neighbour(-1);
        case Action::go_to_frame:
            return write_frame(), true;
        case Action::capture_time:
            return write_capture(), true;
        case Action::play:
            play.playing = !play.playing;
            play.since = now_;
            return true;
        case Action::slower:
        case Action::faster:
            play.speed = std::clamp(play.speed + (action == Action::faster ? 1 : -1), 0,
                                    static_cast<int>(kSpeeds.size()) - 1);
            play.since = now_;
            if (!play.playing)
                say(tr("Space plays at {} of real time.",
                       kSpeeds[static_cast<std::size_t>(play.speed)].words));
            return true;
        case Action::mute:
            views_.muted = !views_.muted;
            remember();
            say(views_.muted ? tr("The sound is off.")
                             : tr("The sound is on: it is heard while playing at real time."));
            return true;
        case Action::next_clip:
        case Action::clip_before: {
            const auto& clips = session_->clips();
            if (clips.size() < 2)
                return say(tr("This run has one clip. Drop another onto the window to add it.")), true;
            const auto here = std::find_if(clips.begin(), clips.end(),
                                           [&](const auto& c) { return c.id == session_->clip(); });
            const auto count = static_cast<std::ptrdiff_t>(clips.size());
            const auto next = (here - clips.begin() + (action == Action::next_clip ? 1 : count - 1)) % count;
            commands_.add(TakeClip{clips[static_cast<std::size_t>(next)].id});
            return true;
        }
        case Action::choose_run:
            return list_runs(), true;
        case Action::streams:
            return list_streams(), true;
        case Action::damage:
            return list_damage(), true;
        default:
            return false;
    }
}

bool DeskCore::act_hand(Action action) {
    using course::Part;
    const auto take_part = [&](std::optional<Part> part) {
        commands_.add(TakePart{part});
        return true;
    };
    switch (action) {
        case Action::left_hand:
            return take_part(Part::left_hand);
        case Action::right_hand:
            return take_part(Part::right_hand);
        case Action::left_foot:
            return take_part(Part::left_foot);
        case Action::right_foot:
            return take_part(Part::right_foot);
        case Action::other_part:
            return take_part(Part::other);
        case Action::loose_part:
            return take_part(Part::loose);
        case Action::whole_athlete:
            return take_part(std::nullopt);
        case Action::surface_after:
            return cycle_surface(1), true;
        case Action::surface_before:
            return cycle_surface(-1), true;
        case Action::plane_after:
            return cycle_plane(1), true;
        case Action::plane_before:
            return cycle_plane(-1), true;
        case Action::surface_list:
            return list_surfaces(), true;
        default:
            return false;
    }
}

namespace {

/// The next key of a list, round and round; the first when the present one is not in it.
std::string next_key(const std::vector<std::string>& keys, const std::string& now, int direction) {
    const auto here = std::find(keys.begin(), keys.end(), now);
    if (here == keys.end()) return direction > 0 ? keys.front() : keys.back();
    const auto count = static_cast<std::ptrdiff_t>(keys.size());
    return keys[static_cast<std::size_t>((here - keys.begin() + direction + count) % count)];
}

}  // namespace

void DeskCore::cycle_surface(int direction) {
    const course::CourseBook* book = session_->book();
    if (!book || book->surfaces.empty())
        return say(tr("The surfaces come from a course book. Drop a .course file here."));
    std::vector<std::string> keys;
    for (const course::Surface& surface : book->surfaces)
        keys.push_back(surface.key);
    commands_.add(TakeSurface{next_key(keys, session_->hand().surface, direction), false});
}

void DeskCore::cycle_plane(int direction) {
    const course::CourseBook* book = session_->book();
    if (!book || book->planes.empty()) return say(tr("This course book declares no planes."));
    std::vector<std::string> keys;
    for (const course::Plane& plane : book->planes)
        keys.push_back(plane.key);
    commands_.add(TakePlane{next_key(keys, session_->hand().plane, direction)});
}

bool DeskCore::act_marking(Action action) {
    meet::Event event;
    event.part = session_->hand().part;
    event.plane = session_->hand().plane;
    switch (action) {
        case Action::touch:
            return mark_contact(EventKind::touch), true;
        case Action::release:
            return mark_contact(EventKind::release), true;
        case Action::cross:
        case Action::cross_back:
            if (event.plane.empty())
                return say(tr("Choose a plane first: click its line, or {}.",
                              keys_.label(Action::plane_after))),
                       true;
            event.kind = EventKind::cross;
            event.direction = action == Action::cross ? ruling::Direction::forward : ruling::Direction::back;
            return mark_event(event), true;
        case Action::contact_on:
            return commands_.add(StateContact{true}), true;
        case Action::contact_off:
            return commands_.add(StateContact{false}), true;
        case Action::signal:
            return list_signals(), true;
        case Action::infraction:
            return list_infractions(), true;
        case Action::control:
            event.kind = EventKind::control;
            event.part.reset();
            event.plane.clear();
            return mark_event(event), true;
        case Action::moment:
            event = {};
            event.kind = EventKind::moment;
            return mark_event(event), true;
        case Action::tie_by_sound:
            return write_tie(), true;
        case Action::watched:
            return watch_key(), true;
        case Action::watched_scope:
            views_.marking.scope = static_cast<ScopeChoice>((static_cast<int>(views_.marking.scope) + 1) % 5);
            say(tr("Watching now covers {}.", scope_words(*session_, views_.marking)));
            return true;
        default:
            return false;
    }
}

void DeskCore::mark_contact(EventKind kind) {
    const review::Hand& hand = session_->hand();
    if (!hand.part) return say(tr("The whole athlete only crosses planes. Choose a limb with 1 to 6."));
    meet::Event event;
    event.kind = kind;
    event.part = hand.part;
    event.surface = hand.surface;
    if (event.surface.empty() && !views_.marking.undeclared) {
        // Pointing is choosing, also without a click.
        const std::string& under = views_.pictures.hovered_key;
        if (under.empty() || !drawing_of(*session_, meet::DrawingKind::surface, under))
            return say(tr("Choose a surface first: click it in the picture, or {}, or {} for the list.",
                          keys_.label(Action::surface_after), keys_.label(Action::surface_list)));
        event.surface = under;
        commands_.add(TakeSurface{under, false});
    }
    mark_event(event);
}

void DeskCore::mark_event(const meet::Event& event) {
    commands_.add(MarkEvent{event});
}

void DeskCore::watch_key() {
    MarkingView& view = views_.marking;
    const std::int64_t here = session_->frame();
    if (!view.watch_from || view.watch_clip != session_->clip()) {
        if (!watch_scope(*session_, view))
            return say(
                tr("Choose what the watching covers first: {} is not chosen.", scope_words(*session_, view)));
        view.watch_from = here;
        view.watch_clip = session_->clip();
        return;
    }
    const std::int64_t from = std::min(*view.watch_from, here), to = std::max(*view.watch_from, here);
    const auto scope = watch_scope(*session_, view);
    if (from == to)
        return say(tr("A watched span ends at another frame than it begins. Step on, then press it again."));
    if (!scope)
        return say(
            tr("Choose what the watching covers first: {} is not chosen.", scope_words(*session_, view)));
    view.watch_from.reset();
    const std::int64_t unseen = session_->frames_not_displayed(from, to);
    const Vouch vouch{from, to, *scope};
    if (unseen == 0) return commands_.add(vouch);
    views_.offer = Offer{tr_n("{} of the {} frames from f {} to {} was never on the screen. Do you still "
                              "vouch that your view of {} was clear there and all is marked?",
                              "{} of the {} frames from f {} to {} were never on the screen. Do you still "
                              "vouch that your view of {} was clear there and all is marked?",
                              unseen, to - from + 1, from, to, scope_words(*session_, view)),
                         vouch};
}

bool DeskCore::act_mending(Action action) {
    switch (action) {
        case Action::early_back:
            return complain_if(session_->move_early(-1)), true;
        case Action::early_on:
            return complain_if(session_->move_early(1)), true;
        case Action::late_back:
            return complain_if(session_->move_late(-1)), true;
        case Action::late_on:
            return complain_if(session_->move_late(1)), true;
        case Action::possible:
            return complain_if(session_->toggle_possible()), true;
        case Action::grade:
            return list_grades(), true;
        case Action::alternative:
            return list_alternatives(), true;
        case Action::sight_here:
            return complain_if(session_->sight_here()), true;
        case Action::copy_mark:
            return copy_mark(), true;
        case Action::mark_list:
            return list_marks(), true;
        case Action::note:
            return write_note(), true;
        case Action::remove:
            return complain_if(session_->remove_selected()), true;
        case Action::list_after:
            return choose_neighbour(1), true;
        case Action::list_before:
            return choose_neighbour(-1), true;
        default:
            return false;
    }
}

bool DeskCore::act_undo(Action action) {
    if (action == Action::undo) return undo(), true;
    if (action == Action::redo) return redo(), true;
    return false;
}

void DeskCore::undo() {
    if (!session_->undo_label()) recall_earlier();
    const auto label = session_->undo_label();
    if (label && session_->undo_reaches_earlier() && !undoes_earlier_) {
        views_.offer = Offer{tr("All of this opening is undone. Before it was done, by whoever had the meet "
                                "open: {}. Take that back too, and go on from there?",
                                tr(*label)),
                             UndoEarlier{}};
        return;
    }
    const auto done = session_->undo();
    if (done && label) say(tr("Undone: {}", tr(*label)));
    complain_if(done);
}

void DeskCore::recall_earlier() {
    const auto recalled = session_->recall_earlier();
    if (!recalled) complain(recalled.error());
}

void DeskCore::undo_earlier() {
    undoes_earlier_ = true;
    undo();
}

void DeskCore::redo() {
    // What the last opening took back and nothing followed.
    if (!session_->redo_label() && !session_->undo_label()) recall_earlier();
    const auto label = session_->redo_label();
    const auto done = session_->redo();
    if (done && label) say(tr("Done again: {}", tr(*label)));
    complain_if(done);
}

void DeskCore::choose_neighbour(int direction) {
    const auto list = marks_here(*session_);
    if (list.empty()) return say(tr("Nothing is marked on this clip yet."));
    const auto now =
        std::find_if(list.begin(), list.end(), [&](const Listed& l) { return l.id == session_->selected(); });
    const auto count = static_cast<std::ptrdiff_t>(list.size());
    std::ptrdiff_t next = direction > 0 ? 0 : count - 1;
    if (now != list.end()) next = (now - list.begin() + direction + count) % count;
    commands_.add(GoMark{list[static_cast<std::size_t>(next)].id});
}

}  // namespace plumbmark::desk
