#include "desk/internal/study_desk.h"

#include <algorithm>

#include "desk/internal/say.h"
#include "review/capture_time.h"

namespace plumbmark::desk {
namespace {

/// The clip's place among those of its run.
std::optional<std::size_t> place_of(const meet::State& state, meet::RunId run, meet::ClipId clip) {
    const auto stored = state.runs().find(run);
    if (stored == state.runs().end()) return std::nullopt;
    const auto& clips = stored->second.clips;
    const auto at = std::find(clips.begin(), clips.end(), clip);
    if (at == clips.end()) return std::nullopt;
    return static_cast<std::size_t>(at - clips.begin());
}

std::optional<base::Time> time_on_screen(const review::Session& session) {
    const review::ClipView* clip = session.current_clip();
    if (clip == nullptr || !clip->table || clip->table->size() == 0) return std::nullopt;
    return review::captured_at(session.state().clips().at(clip->id), *clip->table, session.frame());
}

/// The curve's points that lie on the clip on the screen, in order of time.
std::vector<CurveSpot> curve_spots(const review::Session& session, const review::LaidBeside& laid) {
    std::vector<CurveSpot> spots;
    const review::ClipView* clip = session.current_clip();
    const auto here = place_of(session.state(), session.run(), session.clip());
    if (clip == nullptr || !clip->table || !here || !laid.document.two) return spots;
    const study::StudiedRun& mine = laid.document.runs.front()->run;
    if (*here >= mine.evidence.clips.size()) return spots;
    const meet::Clip& stored = session.state().clips().at(clip->id);
    const auto& curve = laid.document.two->curve;
    for (std::size_t i = 0; i < curve.size(); ++i) {
        const auto at =
            study::likely_time(mine, ruling::ClipIndex{static_cast<std::int64_t>(*here)}, curve[i].event.a);
        if (!at) continue;
        const std::int64_t frame = review::frame_captured_at(stored, *clip->table, *at);
        spots.push_back({i, *at, std::max<std::int64_t>(frame, 0)});
    }
    std::stable_sort(spots.begin(), spots.end(),
                     [](const CurveSpot& a, const CurveSpot& b) { return a.at < b.at; });
    return spots;
}

}  // namespace

StudyDesk::StudyDesk(std::function<void()> wake) : wake_(std::move(wake)) {}

void StudyDesk::close() {
    job_.reset();
    wanted_.reset();
    take(nullptr);
    spots_ = {};
    trouble_.reset();
    answered_ = asked_;
    reader_.reset();
    reader_clip_.reset();
    no_picture_.clear();
    clocks_ = {};
}

void StudyDesk::take(std::shared_ptr<const review::LaidBeside> laid) {
    laid_ = std::move(laid);
    lies_.clear();
}

const StudyDesk::Lies& StudyDesk::lies(std::size_t here, std::size_t there, review::Together how) {
    const auto [at, fresh] = lies_.try_emplace({here, there, how});
    if (fresh) {
        at->second.map = review::together(laid_->document, here, there, how);
        at->second.anchor_here = review::anchor_time(laid_->document, here);
        at->second.anchor_there = review::other_anchor_time(laid_->document, there);
    }
    return at->second;
}

void StudyDesk::ask(const review::Session& session, const Asked& wanted) {
    // What another question was answered with says nothing of this one; the same question after a change is
    // answered nearly as before, and stays until it is.
    if (!wanted_ || wanted_->wish.run != wanted.wish.run || wanted_->wish.other != wanted.wish.other)
        take(nullptr);
    trouble_.reset();
    wanted_ = wanted;
    if (!job_) job_.emplace(wake_);
    const auto state = std::make_shared<const meet::State>(session.state());
    job_->ask(
        ++asked_,
        [state, file = session.path(), wish = wanted.wish](const std::function<bool()>& stopped) -> Answer {
            const base::Speaking in_the_windows_language;
            auto laid = review::laid_beside(*state, file, wish, stopped);
            if (!laid) return laid.error();
            return std::make_shared<const review::LaidBeside>(std::move(*laid));
        });
}

void StudyDesk::update(const review::Session& session, const StudyView& view,
                       const review::SessionOptions& reading) {
    const meet::RunId other = view.other == session.run() ? meet::RunId{} : view.other;
    const Asked wanted{session.changes(), {session.run(), other, view.align}};
    if (!wanted_ || !wanted_->same(wanted)) ask(session, wanted);
    if (job_) {
        if (auto answer = job_->take(); answer && answer->first == asked_) {
            answered_ = asked_;
            take(answer->second ? *answer->second : nullptr);
            if (!answer->second) trouble_ = answer->second.error();
        }
    }
    place_other(session, view, reading);
}

bool StudyDesk::open_reader(const review::Session& session, meet::RunId other,
                            const review::SessionOptions& reading) {
    // A run that is newer than the second look at the file is not in it yet.
    const bool stale = reader_ && !reader_->state().runs().count(other) &&
                       reader_changes_ != session.changes() && session.all_solid();
    if (reader_ && !stale) return reader_->state().runs().count(other) != 0;
    auto opened = review::Session::open(session.path(), reading);
    if (!opened) {
        no_picture_ = opened.error().spoken();
        return false;
    }
    reader_ = std::move(*opened);
    reader_changes_ = session.changes();
    reader_clip_.reset();
    return reader_->state().runs().count(other) != 0;
}

void StudyDesk::place_other(const review::Session& session, const StudyView& view,
                            const review::SessionOptions& reading) {
    placed_ = false;
    clocks_ = {};
    no_picture_.clear();
    if (!laid_ || laid_->document.runs.size() != 2 || !view.pictures) return;
    const auto now = time_on_screen(session);
    const auto here = place_of(session.state(), session.run(), session.clip());
    if (!now || !here) return;
    const meet::RunId other = wanted_->wish.other;
    if (!open_reader(session, other, reading)) {
        if (no_picture_.empty()) no_picture_ = tr("The other run is not on the disk yet.");
        return;
    }
    if (reader_->run() != other) reader_->select_run(other);
    (void)reader_->poll();
    // The same camera where the other run has it; else the first of its clips on which it can be told.
    const auto& clips = reader_->state().runs().at(other).clips;
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < clips.size(); ++i)
        order.push_back(i);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        const auto rank = [&](std::size_t i) { return clips[i] == session.clip() ? 0 : i == *here ? 1 : 2; };
        return rank(a) < rank(b);
    });
    for (const std::size_t there : order) {
        const Lies& lie = lies(*here, there, view.together);
        if (lie.anchor_here) clocks_.mine = *now - *lie.anchor_here;
        if (!lie.map) continue;
        if (reader_clip_ != clips[there]) {
            reader_->select_clip(clips[there]);
            reader_clip_ = clips[there];
        }
        const review::ClipView* clip = reader_->current_clip();
        if (clip == nullptr || !clip->table) return;  // it is being read; what is wrong is told with the clip
        const base::Time then = lie.map->to_b(*now);
        const meet::Clip& stored = reader_->state().clips().at(clip->id);
        const std::int64_t frame = review::frame_captured_at(stored, *clip->table, then);
        if (lie.anchor_there) clocks_.other = then - *lie.anchor_there;
        if (frame < 0) {
            no_picture_ = tr("{} had not begun on {} by then.", wanted_words(), clip->name);
            return;
        }
        if (reader_->frame() != frame) reader_->go_to_frame(frame);
        placed_ = true;
        return;
    }
    no_picture_ =
        tr("Nothing that both runs show lies on these two clips: it cannot be told which frames "
           "belong together.");
}

std::string StudyDesk::wanted_words() const {
    return laid_ && laid_->document.runs.size() == 2 ? laid_->document.runs[1]->name.label : std::string();
}

const review::ClipView* StudyDesk::other_clip() const {
    return reader_ && reader_clip_ && no_picture_.empty() && laid_ && laid_->document.runs.size() == 2
               ? reader_->current_clip()
               : nullptr;
}

const review::PictureView* StudyDesk::other_picture() const {
    return other_clip() && placed_ ? &reader_->picture() : nullptr;
}

std::int64_t StudyDesk::other_frame() const {
    return reader_ ? reader_->frame() : -1;
}

bool StudyDesk::settled() const {
    if (working()) return false;
    if (!wanted_ || !wanted_->wish.other.valid() || !laid_) return true;
    if (!no_picture_.empty()) return true;
    const review::ClipView* clip = other_clip();
    if (clip != nullptr && clip->error) return true;
    return placed_ && (reader_->picture().exact || reader_->picture().error);
}

const std::vector<CurveSpot>& StudyDesk::spots(const review::Session& session) const {
    const review::ClipView* clip = session.current_clip();
    const auto table = clip != nullptr ? clip->table : nullptr;
    if (spots_.laid != laid_ || spots_.table != table || spots_.changes != session.changes())
        spots_ = {laid_, table, session.changes(),
                  laid_ ? curve_spots(session, *laid_) : std::vector<CurveSpot>{}};
    return spots_.spots;
}

}  // namespace plumbmark::desk
