// The page of the run laid open: opening it, its keys, and which run it is held against.
#include <algorithm>

#include "desk/internal/desk_core.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {

void DeskCore::open_study() {
    if (!session_->run().valid()) return say(tr("This meet has no run yet. Drop a clip here to begin one."));
    views_.play.playing = false;
    views_.page = {PageKind::study, 0};
    // Held against itself a run would say nothing.
    if (views_.study.other == session_->run()) views_.study.other = {};
    update_study();
}

void DeskCore::update_study() {
    if (!on_the_study()) return study_.close();
    if (!session_ || !session_->run().valid()) {
        views_.page = {};
        return study_.close();
    }
    review::SessionOptions reading = session_options(true);
    reading.read_whole_files = false;
    study_.update(*session_, views_.study, reading);
}

void DeskCore::study_page_key(int physical_key, int mods, std::optional<Action> action) {
    StudyView& view = views_.study;
    const review::LaidBeside* laid = study_.laid();
    const bool two = laid != nullptr && laid->document.two.has_value();
    if (action == Action::let_go || action == Action::take || action == Action::study_run) {
        views_.page = {};
        return study_.close();
    }
    if (action == Action::choose_run) return list_runs_to_study();
    if (mods == 0 && (physical_key == key_up || physical_key == key_down))
        return void(view.scroll += physical_key == key_down ? 1.0F : -1.0F);
    if (mods == 0 && (physical_key == key_page_up || physical_key == key_page_down))
        return void(view.scroll += physical_key == key_page_down ? 6.0F : -6.0F);
    if (mods == 0 && physical_key == 'W') return void(view.words = !view.words);
    if (two && mods == 0) {
        switch (physical_key) {
            case 'A':
                return list_alignments();
            case 'P':
                return void(view.together = view.together == review::Together::same_moment
                                                ? review::Together::same_phase
                                                : review::Together::same_moment);
            case 'G':
                return void(view.ghost = !view.ghost);
            case 'V':
                return void(view.pictures = !view.pictures);
            default:
                break;
        }
    }
    if (two && (action == Action::mark_after || action == Action::mark_before))
        return go_along_the_curve(action == Action::mark_after ? 1 : -1);
    // Going through the clip is as it is beside the page.
    if (action && keys_.binding(*action).group == KeyGroup::going && act_going(*action)) carry_out_commands();
}

void DeskCore::go_along_the_curve(int direction) {
    const review::LaidBeside* laid = study_.laid();
    if (laid == nullptr) return;
    const auto& spots = study_.spots(*session_);
    const std::int64_t here = session_->frame();
    const CurveSpot* next = nullptr;
    for (const CurveSpot& spot : spots) {
        if (direction > 0 && spot.frame > here && next == nullptr) next = &spot;
        if (direction < 0 && spot.frame < here) next = &spot;
    }
    if (next == nullptr)
        return say(direction > 0 ? tr("Nothing after this that both runs show.")
                                 : tr("Nothing before this that both runs show."));
    views_.play.playing = false;
    session_->go_to_frame(next->frame);
}

void DeskCore::list_runs_to_study() {
    Chooser list;
    list.title = tr("Hold it against which run?");
    list.choices.push_back({tr("the best of others"), tr("the athlete's other runs, and the division's"),
                            OfStudy{StudyAgainst{}}});
    for (const auto& [id, run] : session_->state().runs()) {
        if (id == session_->run()) continue;
        if (id == views_.study.other) list.cursor = static_cast<int>(list.choices.size());
        std::int64_t marks = 0;
        for ([[maybe_unused]] const meet::Mark& mark : session_->state().marks_of(id))
            ++marks;
        list.choices.push_back(
            {run_words(*session_, id), tr_n("{} mark", "{} marks", marks), OfStudy{StudyAgainst{id}}});
    }
    if (list.choices.size() == 1) return say(tr("This meet has no other run."));
    list.typed = list.choices.size() > 9;
    views_.chooser = std::move(list);
}

void DeskCore::list_alignments() {
    const review::LaidBeside& laid = *study_.laid();
    Chooser list;
    list.title = tr("At what do the two lie over each other?");
    list.typed = laid.can_lie_at.size() > 9;
    for (const review::LaidAt& at : laid.can_lie_at) {
        const bool now = laid.document.two->anchor && laid.document.two->anchor->wish == at.wish;
        if (now) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back(
            {at.says.spoken(), now ? tr("as it is") : std::string(), OfStudy{StudyAlign{at.wish}}});
    }
    if (list.choices.empty()) return say(tr("The two runs show no start, station or take-off in common."));
    views_.chooser = std::move(list);
}

void DeskCore::carry_out_for_study(const StudyCommand& command) {
    if (const auto* against = std::get_if<StudyAgainst>(&command)) {
        views_.study.other = against->other;
        views_.study.align.clear();
    } else if (const auto* align = std::get_if<StudyAlign>(&command)) {
        views_.study.align = align->wish;
    }
    update_study();
}

void DeskCore::draw_study_page(const Box& box) {
    if (!session_) return;
    const Scene scene{look_,  *session_, keys_, views_,     commands_, textures_,
                      sound_, course_,   meet_, following_, camera_};
    draw_study(scene, box, study_, views_.study, views_.page);
    if (!on_the_study()) study_.close();
}

}  // namespace plumbmark::desk
