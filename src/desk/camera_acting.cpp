// What the keys of pointing and measuring do.
#include <algorithm>

#include "desk/internal/camera_mode.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/say.h"
#include "review/follow_point.h"
#include "review/lens_shelf.h"
#include "review/measured_moment.h"

namespace plumbmark::desk {
bool DeskCore::act_camera(Action action) {
    switch (action) {
        case Action::find_camera:
            return begin_pointing_at_plan(), true;
        case Action::show_plan:
            camera_.shows_plan = !camera_.shows_plan;
            return say(camera_.shows_plan ? tr("The plan is drawn over the picture, where it is known where "
                                               "the camera stands.")
                                          : tr("The plan is not drawn over the picture.")),
                   true;
        case Action::point_at_mark:
            return begin_pointing_at_mark(), true;
        case Action::follow_mark_point:
            return ask_to_follow_point(), true;
        case Action::take_moment:
            return carry_out(OfCamera{TakeMoment{session_->selected()}}), true;
        default:
            return false;
    }
}

void DeskCore::begin_pointing_at_plan() {
    const review::ClipView* clip = session_->current_clip();
    if (!clip || !clip->table || !session_->picture().exact)
        return say(tr("The picture is not there yet; then point at the places in it."));
    if (!session_->book() || session_->book()->plan.surfaces.empty())
        return complain(
            {base::Category::bad_input,
             tr("The course book does not say where its surfaces are. Add a [plan] with the corners "
                "as you taped them; then it can be found where the camera stands."),
             ""});
    const std::int64_t frame = session_->frame();
    const meet::CameraStand* nearest = review::nearest_stand(session_->state(), clip->id, frame);
    std::vector<meet::CameraLens> kept;
    if (options_.remember) {
        auto own = review::kept_lenses(review::lens_shelf_file());
        if (!own) complain(own.error());
        if (own) kept = std::move(*own);
    }
    views_.play.playing = false;
    views_.pictures.tool = PictureTool::none;
    begin_camera(views_.pictures, *session_->book(), clip->id, {frame, (*clip->table)[frame].pts},
                 nearest && nearest->still.number == frame ? std::optional(*nearest) : std::nullopt,
                 review::lenses_to_take(session_->state(), kept));
}

void DeskCore::begin_pointing_at_mark() {
    const auto& marks = session_->state().marks();
    const auto mark = marks.find(session_->selected());
    if (mark == marks.end()) return say(tr("Choose the mark first whose place is to be measured."));
    if (!session_->picture().exact)
        return say(tr("The picture is not there yet; then point at the place in it."));
    PicturesView& view = views_.pictures;
    view.point = {true, mark->first,
                  view.pointer.value_or(Point{view.centre[0] * view.width, view.centre[1] * view.height})};
    for (const meet::Pointed& one : mark->second.pointed)
        if (one.clip == session_->clip() && one.frame.number == session_->frame()) view.point.cross = one.at;
}

void DeskCore::carry_out_for_camera(const CameraCommand& command) {
    if (const auto* kept = std::get_if<KeepStand>(&command)) keep_stand(*kept);
    if (const auto* pointed = std::get_if<PointAtMark>(&command)) point_at_mark(*pointed);
    if (const auto* asked = std::get_if<FollowMarkPoint>(&command)) follow_mark_point(asked->mark);
    if (const auto* taken = std::get_if<TakeMoment>(&command)) take_moment(taken->mark);
    if (const auto* asked = std::get_if<AskForSpot>(&command))
        ask_for(views_.pictures.camera, asked->spot, camera_);
    if (const auto* drop = std::get_if<DropStand>(&command)) {
        const auto found = session_->state().stands().find(drop->id);
        if (found == session_->state().stands().end()) return;
        complain_if(session_->apply(review::without_stand(found->second)));
    }
}

void DeskCore::keep_stand(const KeepStand& kept) {
    const CameraDesk::Found* draft = camera_.draft();
    if (camera_.drafting() || draft == nullptr)
        return say(
            draft == nullptr && !camera_.drafting()
                ? tr("Not kept yet: point at four places at least, and it is said where the camera stands.")
                : tr("Not kept yet: it is still being worked out where the camera stands."));
    if (!*draft) return complain(draft->error());
    const meet::Change change = review::kept_stand(session_->state(), kept.stand, kept.lens);
    views_.pictures.camera = {};
    const meet::Edit& edit = change.edits.back();
    if (edit.before && *edit.before == *edit.after) return;
    if (const auto done = session_->apply(change); !done) return complain(done.error());
    say(tr("Kept. The plan is drawn over the picture now; {} hides it.", keys_.label(Action::show_plan)));
    camera_.shows_plan = true;
}

void DeskCore::point_at_mark(const PointAtMark& pointed) {
    const auto mark = session_->state().marks().find(pointed.mark);
    const review::ClipView* clip = session_->current_clip();
    if (mark == session_->state().marks().end() || !clip || !clip->table) return;
    const std::int64_t frame = session_->frame();
    const meet::FrameRef here{frame, (*clip->table)[frame].pts};
    if (const auto done = session_->apply(review::with_pointed(mark->second, clip->id, here, pointed.at));
        !done)
        return complain(done.error());
    if (!pointed.at) return;
    if (!review::nearest_stand(session_->state(), clip->id, frame))
        say(
            tr("Pointed at. To measure it, {} points at the plan's places: nobody has said yet where this "
               "camera "
               "stands.",
               keys_.label(Action::find_camera)));
}

void DeskCore::ask_to_follow_point() {
    PointMode& mode = views_.pictures.point;
    const meet::MarkId mark = mode.active ? mode.mark : session_->selected();
    if (mode.active) carry_out(OfCamera{PointAtMark{mark, mode.cross}});
    mode = {};
    carry_out(OfCamera{FollowMarkPoint{mark}});
}

void DeskCore::follow_mark_point(meet::MarkId id) {
    const auto mark = session_->state().marks().find(id);
    const review::ClipView* clip = session_->current_clip();
    if (mark == session_->state().marks().end()) return say(tr("Choose the mark first."));
    if (!clip || !clip->table) return;
    const std::int64_t frame = session_->frame();
    for (const meet::Pointed& one : mark->second.pointed) {
        if (one.clip != clip->id || one.frame.number != frame || one.followed) continue;
        const auto [first, last] = review::frames_to_follow(mark->second, one, clip->table->size());
        point_desk_.follow(id, {clip->file, clip->table, one, first, last});
        return say(tr("Looking for this point in f {} to f {}.", first, last));
    }
    say(tr("Point at the mark's place on this frame first ({}); from there it is followed.",
           keys_.label(Action::point_at_mark)));
}

void DeskCore::take_followed_point() {
    auto answer = point_desk_.take();
    if (!answer) return;
    if (!answer->followed) return complain(answer->followed.error());
    const auto mark = session_->state().marks().find(answer->mark);
    // Somebody may have gone on meanwhile: moved the point, or taken the mark away.
    if (mark == session_->state().marks().end() ||
        std::find(mark->second.pointed.begin(), mark->second.pointed.end(), answer->start) ==
            mark->second.pointed.end())
        return;
    say(review::followed_words(*answer->followed).spoken());
    if (answer->followed->points.empty()) return;
    complain_if(session_->apply(review::with_followed(mark->second, answer->start.clip, answer->start.frame,
                                                      answer->followed->points)));
}

void DeskCore::take_moment(meet::MarkId id) {
    const auto mark = session_->state().marks().find(id);
    if (mark == session_->state().marks().end()) return say(tr("Choose the mark first."));
    if (mark->second.measured) {
        complain_if(session_->apply(review::with_moment(mark->second, std::nullopt)));
        return say(tr("The measured moment is taken out; the mark's frames hold again."));
    }
    if (camera_.measuring())
        return say(tr("It is still being measured; then press {} again.", keys_.label(Action::take_moment)));
    const review::MarkMeasured* measured = camera_.measures_of(id);
    if (measured == nullptr || (!measured->moment && !measured->moment_trouble))
        return say(
            tr("No moment is measured of this mark. Point at its place on a frame before the crossing and "
               "on one after it ({}).",
               keys_.label(Action::point_at_mark)));
    if (measured->moment_trouble) return complain(*measured->moment_trouble);
    if (const auto done = session_->apply(review::with_moment(mark->second, measured->moment->moment)); !done)
        return complain(done.error());
    say(tr("Taken: it {}. The ruling rests on it from now on; {} takes it out again.",
           measured->moment->says.spoken(), keys_.label(Action::take_moment)));
}

}  // namespace plumbmark::desk
