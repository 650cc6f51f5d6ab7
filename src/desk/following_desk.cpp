#include "desk/internal/following_desk.h"

#include <algorithm>

#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

/// What is on the screen, else what was asked for.
std::int64_t shown_frame(const review::Session& session, meet::ClipId clip) {
    const std::int64_t shown = session.picture_of(clip).frame;
    return shown >= 0 ? shown : session.frame_of(clip);
}

std::string counted(int some, int all) {
    if (all == 1) return tr("drawing does not fit here");
    if (some == all) return tr("no drawing fits here");
    return tr_n("{} of {} drawings does not fit here", "{} of {} drawings do not fit here", some, all);
}

std::string words_for(const review::LostStretch& one) {
    const std::string frames =
        one.first == one.last ? tr("f {}", one.first) : tr("f {} to {}", one.first, one.last);
    return tr("{}: a drawing does not fit the picture here; it is drawn faintly where it was made", frames);
}

}  // namespace

void FollowingDesk::update(const review::Session& session) {
    if (session_ != &session) {
        clips_.clear();
        off_.clear();
        session_ = &session;
    }
    busy_->store(!session.picture().exact && !session.picture().error, std::memory_order_relaxed);
    std::erase_if(clips_, [&](const auto& one) { return !session.state().clips().contains(one.first); });
    for (auto& [id, one] : clips_)
        if (one.job) one.job->rest(id != session.clip() || !on(id));
    for (const review::ClipView& clip : session.clips())
        update(session, clip);
}

void FollowingDesk::update(const review::Session& session, const review::ClipView& clip) {
    OneClip& one = clips_[clip.id];
    std::vector<review::FollowedDrawing> wanted = review::followed_drawings(session.state(), clip.id);
    if (!clip.table || clip.error || clip.file.empty() || wanted.empty() || !on(clip.id)) {
        if (wanted.empty()) one = {};
        return;
    }
    const std::int64_t frame = shown_frame(session, clip.id);
    if (!one.job || one.table != clip.table || one.job->drawings() != wanted) {
        one = {};
        one.table = clip.table;
        one.job = std::make_unique<review::FollowingJob>(
            clip.file, clip.table, std::move(wanted), frame,
            [busy = busy_] { return busy->load(std::memory_order_relaxed); }, wake_);
    }
    one.job->look_at(frame);
    if (const std::uint64_t version = one.job->version(); version != one.version) {
        one.version = version;
        one.lost = one.job->lost();
    }
}

void FollowingDesk::toggle(meet::ClipId clip) {
    if (!off_.erase(clip)) off_.insert(clip);
}

void FollowingDesk::copy(const review::Session& session, meet::ClipId from) {
    const review::ClipView* clip = session.current_clip();
    if (!clip || !clip->table) return;
    copying_ = std::make_unique<review::CopyDrawingsJob>(
        review::CopyDrawings{session.path().parent_path(), session.state(), from, clip->id, clip->file,
                             clip->table, session.frame()},
        wake_);
}

std::optional<base::Result<review::CopiedDrawings>> FollowingDesk::take_copied() {
    auto copied = copying_ ? copying_->take() : std::nullopt;
    if (copied) copying_.reset();
    return copied;
}

PlacedDrawing FollowingDesk::placed(const review::Session& session, const meet::Drawing& drawing) const {
    PlacedDrawing as_drawn{drawing.points, drawing.towards};
    if (!drawing.still || !on(drawing.clip)) return as_drawn;
    const std::int64_t frame = shown_frame(session, drawing.clip);
    if (frame == drawing.still->number) return as_drawn;
    const auto found = clips_.find(drawing.clip);
    if (found == clips_.end() || !found->second.job) return as_drawn;
    const review::FollowingJob& job = *found->second.job;
    if (job.trouble(drawing.id)) return as_drawn;
    const std::optional<follow::ShapeFit> fit = job.at(drawing.id, frame);
    as_drawn.placement = fit ? Placement::lost : Placement::finding;
    const auto lies = fit ? review::placed_drawing(drawing, *fit) : std::nullopt;
    if (!lies) return as_drawn;
    return {lies->points, lies->towards, Placement::follows, fit->error, fit->mapping != follow::Mapping{}};
}

std::string FollowingDesk::words(const review::Session& session) const {
    int all = 0, finding = 0, lost = 0;
    double error = 0;
    bool moved = false, untold = false;
    for (const auto& [id, drawing] : session.state().drawings()) {
        if (drawing.clip != session.clip() || !drawing.still) continue;
        const PlacedDrawing placed = this->placed(session, drawing);
        ++all;
        finding += placed.placement == Placement::finding ? 1 : 0;
        lost += placed.placement == Placement::lost ? 1 : 0;
        untold = untold || placed.placement == Placement::as_drawn;
        error = std::max(error, placed.error);
        moved = moved || placed.moved;
    }
    if (all == 0) return {};
    if (!on(session.clip())) return tr("drawing is not followed");
    if (lost > 0) return counted(lost, all);
    if (finding > 0) return tr("finding the drawing…");
    if (untold && !moved) return {};
    if (!moved) return {};
    return all == 1 ? tr("drawing follows, ±{:.1f} px", error) : tr("drawings follow, ±{:.1f} px", error);
}

const std::vector<review::LostStretch>& FollowingDesk::lost(meet::ClipId clip) const {
    static const std::vector<review::LostStretch> kNone;
    const auto found = clips_.find(clip);
    return found == clips_.end() || !on(clip) ? kNone : found->second.lost;
}

bool FollowingDesk::settled(const review::Session& session) const {
    const auto& drawings = session.state().drawings();
    return std::none_of(drawings.begin(), drawings.end(), [&](const auto& entry) {
        return placed(session, entry.second).placement == Placement::finding;
    });
}

std::vector<LostHit> draw_lost(const Look& look, const Box& track,
                               const std::vector<review::LostStretch>& lost, const media::FrameTable& table,
                               const std::function<float(std::int64_t)>& x_of, ImDrawList* list) {
    const float bottom = track.y - look.unit(3), top = bottom - look.unit(6);
    const ImU32 colour = ink(look.colours->soft);
    std::vector<LostHit> hits;
    for (const review::LostStretch& one : lost) {
        if (one.last >= table.size()) break;
        const std::int64_t past = std::min(one.last + 1, table.size() - 1);
        const float x0 = std::max(x_of(table.time(one.first).ns), track.x);
        const float x1 = std::min(std::max(x_of(table.time(past).ns), x0 + look.unit(2)), track.right());
        if (x0 > track.right()) break;
        if (x1 < track.x) continue;
        list->PushClipRect({x0, top}, {x1, bottom}, true);
        for (float x = x0 - (bottom - top); x < x1; x += look.unit(4))
            list->AddLine({x, bottom}, {x + bottom - top, top}, colour, std::max(1.0F, look.unit(1)));
        list->PopClipRect();
        list->AddLine({x0, bottom}, {x1, bottom}, colour, 1);
        hits.push_back({{x0, top, x1 - x0, bottom - top}, words_for(one)});
    }
    return hits;
}

}  // namespace plumbmark::desk
