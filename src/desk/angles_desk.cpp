// Several cameras of one run: which shows it best, each by itself or all together, marks from one to another;
// and how bright a picture is shown.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"
#include "desk/internal/sightings.h"
#include "review/capture_time.h"

namespace plumbmark::desk {
namespace {

/// How large what is asked for lies in a clip's picture: the side of a square as large as the surface's
/// outline, or the length of the plane's line, in pixels of the picture; 0 where it is not drawn.
double size_in(const meet::State& state, meet::ClipId clip, const review::Hand& hand) {
    for (const auto& [id, drawing] : state.drawings()) {
        if (drawing.clip != clip) continue;
        const bool surface = drawing.kind == meet::DrawingKind::surface;
        const std::string& wanted = hand.surface.empty() ? hand.plane : hand.surface;
        if (surface == hand.surface.empty() || drawing.key != wanted || wanted.empty()) continue;
        double sum = 0;
        const auto& points = drawing.points;
        for (std::size_t i = 0; i + (surface ? 0 : 1) < points.size(); ++i) {
            const auto &a = points[i], &b = points[(i + 1) % points.size()];
            sum += surface ? a[0] * b[1] - b[0] * a[1] : std::hypot(b[0] - a[0], b[1] - a[1]);
        }
        return surface ? std::sqrt(std::abs(sum) / 2) : sum;
    }
    return 0;
}

const meet::Mark* chosen_mark(const review::Session& session) {
    const auto found = session.state().marks().find(session.selected());
    return found == session.state().marks().end() ? nullptr : &found->second;
}

}  // namespace

/// Where the surface or plane in hand lies largest in the picture. Pressed there, the next best.
void DeskCore::go_to_best_angle() {
    struct Angle {
        const review::ClipView* clip;
        double size;
    };
    std::vector<Angle> angles;
    for (const review::ClipView& clip : session_->clips())
        if (clip.table) angles.push_back({&clip, size_in(session_->state(), clip.id, session_->hand())});
    if (angles.size() < 2) return say(tr("This run has one clip. Drop another onto the window to add it."));
    std::stable_sort(angles.begin(), angles.end(),
                     [](const Angle& a, const Angle& b) { return a.size > b.size; });
    const review::Hand& hand = session_->hand();
    const std::string what = !hand.surface.empty() ? surface_name(*session_, hand.surface)
                             : !hand.plane.empty() ? plane_name(*session_, hand.plane)
                                                   : std::string();
    if (angles.front().size == 0)
        return say(what.empty()
                       ? tr("Choose a surface or a plane first: the camera that shows it largest is meant.")
                       : tr("The {} is drawn on no camera's picture yet; {} draws it.", what,
                            keys_.label(Action::draw)));
    const auto here = std::find_if(angles.begin(), angles.end(),
                                   [&](const Angle& angle) { return angle.clip->id == session_->clip(); });
    const auto drawn = std::count_if(angles.begin(), angles.end(), [](const Angle& a) { return a.size > 0; });
    const bool at_best = here == angles.begin() && drawn > 1;
    const Angle& next = at_best ? angles[1] : angles.front();
    say(at_best ? tr("{}: the {} is {:.0f} px large there; {:.0f} px on {}.", next.clip->name, what,
                     next.size, angles.front().size, angles.front().clip->name)
                : tr("{}: the {} is {:.0f} px large there, the largest of all.", next.clip->name, what,
                     next.size));
    commands_.add(TakeClip{next.clip->id});
}

void DeskCore::step_apart() {
    PicturesView& view = views_.pictures;
    view.apart = !view.apart;
    placed_ = {};
    say(view.apart ? tr("Cameras are stepped alone now: the others stay where they are.")
                   : tr("Cameras are together again: the others follow to the same moment."));
}

/// The chosen mark on another camera, as wide as its bracket here and the tie of the two clocks make it: that
/// says nothing new, and is where to look more closely.
void DeskCore::copy_mark() {
    const meet::Mark* mark = chosen_mark(*session_);
    const meet::Sighting* here = mark ? sighting_on(*mark, session_->clip()) : nullptr;
    if (!here || !here->early || !here->late)
        return say(tr("Choose a mark first that has both ends on this camera: click it on the run strip."));
    const review::ClipView* from = session_->current_clip();
    const auto& clips = session_->clips();
    const auto to = std::find_if(clips.begin(), clips.end(), [&](const review::ClipView& clip) {
        return clip.table && !sighting_on(*mark, clip.id);
    });
    if (to == clips.end()) return say(tr("No other camera of this run lacks this mark."));
    const auto tie = tie_of(*session_, from->id, to->id);
    if (!tie)
        return say(tr("{} is not tied to {}: mark one event on both first, with {} on the second.", to->name,
                      from->name, keys_.label(Action::sight_here)));
    const auto& stored = session_->state().clips();
    const auto at = [&](const meet::FrameRef& frame) {
        return review::captured_at(stored.at(from->id), *from->table, frame.number);
    };
    const auto frame = [&](base::Time time) {
        return review::frame_captured_at(stored.at(to->id), *to->table, time);
    };
    // Outward: the last frame that is surely before, the first that is surely not.
    const std::int64_t early = frame(at(*here->early) + tie->low);
    const base::Time surely = at(*here->late) + tie->high;
    std::int64_t late = frame(surely);
    if (late < 0 || review::captured_at(stored.at(to->id), *to->table, late) < surely) ++late;
    const meet::ClipId clip = to->id;
    if (auto done = session_->sight_on(clip, early, late); !done) return complain(done.error());
    carry_out(TakeClip{clip});
    session_->go_to_mark(session_->selected());
    say(tr("Copied, as wide as the tie makes it. At the first frame where it is so, {} marks it exactly.",
           keys_.label(Action::sight_here)));
}

void DeskCore::change_tone(int brightness, int contrast) {
    auto& tones = views_.pictures.tones;
    Tone& tone = tones[session_->clip()];
    tone.brightness = std::clamp(tone.brightness + brightness, -Tone::kMost, Tone::kMost);
    tone.contrast = std::clamp(tone.contrast + contrast, -Tone::kMost, Tone::kMost);
    if (tone.plain()) tones.erase(session_->clip());
}

}  // namespace plumbmark::desk
