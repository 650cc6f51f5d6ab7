// What the keys of the sheet, the pictures and the strip do, and Enter and Esc.
#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/desk_core.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

bool DeskCore::act_sheet(Action action) {
    switch (action) {
        case Action::station_after:
            return move_station(1), true;
        case Action::station_before:
            return move_station(-1), true;
        case Action::open_station:
            return views_.sheet.open = !views_.sheet.open, true;
        case Action::deciding_frames: {
            const auto* now = station_ruling(*session_, focused_station(*session_, views_.sheet));
            if (!now || !now->decided_at) return say(tr("No frame decides this station yet.")), true;
            if (now->deciding_mark.valid())
                session_->go_to_mark(now->deciding_mark);
            else
                session_->go_to(*now->decided_at);
            return true;
        }
        case Action::rests_on:
            return walk_rests_on(), true;
        case Action::settle_first:
            return commands_.add(Settle{0}), true;
        case Action::settle_second:
            return commands_.add(Settle{1}), true;
        case Action::settle_third:
            return commands_.add(Settle{2}), true;
        case Action::floor_call:
            return list_floor_calls(), true;
        default:
            return false;
    }
}

void DeskCore::move_station(int by) {
    const course::CourseBook* book = session_->book();
    if (!book || book->stations.empty()) return;
    const int count = static_cast<int>(book->stations.size());
    const int now = focused_station(*session_, views_.sheet);
    commands_.add(FocusStation{std::clamp(now + by, 0, count - 1), false});
}

void DeskCore::walk_rests_on() {
    const auto* now = station_ruling(*session_, focused_station(*session_, views_.sheet));
    if (!now || now->rests_on.empty()) return say(tr("This station's ruling rests on nothing marked."));
    commands_.add(GoMark{now->rests_on[views_.sheet.rests_on % now->rests_on.size()]});
    ++views_.sheet.rests_on;
}

bool DeskCore::act_pictures(Action action) {
    PicturesView& view = views_.pictures;
    const auto tool = [&](PictureTool wanted) {
        view.tool = view.tool == wanted ? PictureTool::none : wanted;
        return true;
    };
    switch (action) {
        case Action::zoom_in:
            return zoom_at(view, 1.5F, view.pointer), true;
        case Action::zoom_out:
            return zoom_at(view, 1 / 1.5F, view.pointer), true;
        case Action::fit:
            return view.zoom = 1, true;
        case Action::pan_left:
            return pan(-1, 0), true;
        case Action::pan_right:
            return pan(1, 0), true;
        case Action::pan_up:
            return pan(0, -1), true;
        case Action::pan_down:
            return pan(0, 1), true;
        case Action::touching_yet:
            return tool(PictureTool::touching_yet);
        case Action::which_way:
            return tool(PictureTool::which_way);
        case Action::same_place:
            // First the frame before, then what differs, then away.
            if (view.tool == PictureTool::same_place && !view.difference) return view.difference = true, true;
            view.difference = false;
            return tool(PictureTool::same_place);
        case Action::other_angles:
            view.alone = !view.alone;
            placed_ = {};
            return remember(), true;
        case Action::best_angle:
            return go_to_best_angle(), true;
        case Action::apart:
            return step_apart(), true;
        case Action::brighter:
            return change_tone(1, 0), true;
        case Action::darker:
            return change_tone(-1, 0), true;
        case Action::more_contrast:
            return change_tone(0, 1), true;
        case Action::less_contrast:
            return change_tone(0, -1), true;
        case Action::plain_tone:
            return (void)view.tones.erase(session_->clip()), true;
        case Action::draw:
            return list_drawings(), true;
        case Action::copy_drawings:
            return list_clips_to_copy(), true;
        case Action::follow:
            following_.toggle(session_->clip());
            return say(following_.on(session_->clip())
                           ? tr("Drawings follow the scene again on this clip.")
                           : tr("Drawings stay where they were drawn on this clip.")),
                   true;
        case Action::strip_in:
            return zoom_strip(0.7), true;
        case Action::strip_out:
            return zoom_strip(1 / 0.7), true;
        case Action::fold_strip:
            views_.strip.folded = !views_.strip.folded;
            return remember(), true;
        case Action::take:
            return take(), true;
        case Action::let_go:
            return let_go(), true;
        default:
            return false;
    }
}

void DeskCore::pan(double dx, double dy) {
    PicturesView& view = views_.pictures;
    const double step = 0.15 / static_cast<double>(view.zoom);
    view.centre = {std::clamp(view.centre[0] + dx * step, 0.0, 1.0),
                   std::clamp(view.centre[1] + dy * step, 0.0, 1.0)};
}

/// Around the playhead, within the clip.
void DeskCore::zoom_strip(double factor) {
    const review::ClipView* clip = session_->current_clip();
    if (!clip || !clip->table || clip->table->size() < 2) return;
    StripView& view = views_.strip;
    const StripModel& model = strip_model_of(*session_, view.kept);
    if (view.to_ns <= view.from_ns || view.clip != session_->clip()) {
        view.from_ns = model.begin;
        view.to_ns = model.end;
        view.clip = session_->clip();
    }
    const double least = 20e6, all = static_cast<double>(model.end - model.begin);
    const auto span = static_cast<std::int64_t>(
        std::clamp(static_cast<double>(view.to_ns - view.from_ns) * factor, std::min(least, all), all));
    const std::int64_t middle = session_->time().ns;
    view.from_ns = std::clamp(middle - span / 2, model.begin, model.end - span);
    view.to_ns = view.from_ns + span;
}

/// Enter: what is offered now, the most pressing first.
void DeskCore::take() {
    if (views_.offer) {
        commands_.add(views_.offer->accept);
        views_.offer.reset();
        return;
    }
    if (session_->save_failure()) return commands_.add(RetrySave{});
    if (const auto need = next_need(*session_, views_.sheet)) return commands_.add(need->command);
    say(tr("Nothing is offered right now."));
}

void DeskCore::let_go() {
    const review::ClipView* clip = session_->current_clip();
    if (views_.offer)
        views_.offer.reset();
    else if (stop_listening())
        return;
    else if (system_files_.asking())
        system_files_.stop();
    else if (!views_.messages.empty())
        views_.messages.clear();
    else if (clip && !clip->table && !clip->error)
        session_->cancel_scan();
    else if (export_.stop())
        return;  // it says so itself once it has ended
    else if (views_.marking.watch_from)
        views_.marking.watch_from.reset();
    else if (views_.pictures.tool != PictureTool::none)
        views_.pictures.tool = PictureTool::none;
    else
        session_->select({});
}

}  // namespace plumbmark::desk
