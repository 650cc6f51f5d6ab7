// Taking over the drawings of another clip.
#include <algorithm>
#include <map>

#include "desk/internal/desk_core.h"
#include "desk/internal/panels.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

std::string run_words(const meet::State& state, meet::ClipId clip) {
    for (const auto& [id, run] : state.runs())
        if (std::find(run.clips.begin(), run.clips.end(), clip) != run.clips.end()) return run.label;
    return {};
}

}  // namespace

void DeskCore::list_clips_to_copy() {
    const review::ClipView* clip = session_->current_clip();
    if (!clip || !clip->table) return say(tr("There is no clip to draw on yet."));
    const meet::State& state = session_->state();
    std::map<meet::ClipId, int> drawn;
    for (const auto& [id, drawing] : state.drawings())
        if (drawing.clip != clip->id) ++drawn[drawing.clip];
    if (drawn.empty())
        return say(
            tr("Nothing is drawn on any other clip of this meet. {} draws here.", keys_.label(Action::draw)));
    std::vector<std::pair<meet::ClipId, int>> ordered(drawn.begin(), drawn.end());
    // The same camera stands where it stood, most often.
    std::stable_partition(ordered.begin(), ordered.end(),
                          [&](const auto& one) { return state.clips().at(one.first).name == clip->name; });
    Chooser list;
    list.title = tr("Take over the drawings of which clip, at this frame?");
    list.typed = ordered.size() > 9;
    for (const auto& [id, count] : ordered)
        list.choices.push_back({state.clips().at(id).name + " · " + run_words(state, id),
                                tr_n("{} drawing", "{} drawings", count), CopyDrawingsOf{id}});
    views_.chooser = std::move(list);
}

void DeskCore::take_copied_drawings() {
    const auto copied = following_.take_copied();
    if (!copied) return;
    if (!*copied) return complain(copied->error());
    const review::CopiedDrawings& done = **copied;
    if (const auto applied = session_->apply(done.change); !applied) return complain(applied.error());
    std::string words = tr_n("{} drawing taken over, ±{:.1f} px. {} takes it back.",
                             "{} drawings taken over, ±{:.1f} px. {} takes them back.", done.copied,
                             done.error, keys_.label(Action::undo));
    if (done.left_out > 0)
        words += tr_n(" {} drawing is left out: it does not fit here.",
                      " {} drawings are left out: they do not fit here.", done.left_out);
    say(words);
}

}  // namespace plumbmark::desk
