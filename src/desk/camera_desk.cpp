#include "desk/internal/camera_desk.h"

#include <algorithm>
#include <utility>

namespace plumbmark::desk {

CameraDesk::CameraDesk(std::function<void()> wake) : draft_job_(wake), seen_job_(wake), measure_job_(wake) {}

void CameraDesk::update(const review::Session& session, const CameraMode& mode) {
    update_draft(session, mode);
    renew_cameras(session);
    look(session);
    measure(session);
}

void CameraDesk::update_draft(const review::Session& session, const CameraMode& mode) {
    if (auto answer = draft_job_.take()) {
        draft_known_ = answer->first;
        if (mode.active) draft_ = std::move(answer->second);
    }
    if (!mode.active) {
        draft_.reset();
        draft_of_.reset();
        draft_known_ = draft_asked_;
        return;
    }
    if (draft_of_ == mode.stand) return;
    draft_of_ = mode.stand;
    draft_stop_.request_stop();
    draft_stop_ = std::stop_source();
    const review::ClipView* clip = session.current_clip();
    const course::CourseBook* book = session.book();
    if (book == nullptr || clip == nullptr || !clip->table ||
        mode.stand.points.size() + mode.stand.edges.size() < 4) {
        draft_.reset();
        draft_known_ = draft_asked_;
        return;
    }
    std::optional<meet::CameraLens> lens;
    if (mode.lens >= 0) lens = mode.lenses[static_cast<std::size_t>(mode.lens)];
    draft_job_.ask(++draft_asked_,
                   [stand = mode.stand, book = *book, lens, stop = draft_stop_.get_token(),
                    form = review::form_of(clip->table->info())](const std::function<bool()>&) {
                       return std::make_shared<const Found>(
                           review::found_camera(stand, book, lens ? &*lens : nullptr, form, stop));
                   });
}

bool CameraDesk::has_stand(const review::Session& session, meet::ClipId clip) {
    return std::any_of(session.state().stands().begin(), session.state().stands().end(),
                       [&](const auto& stand) { return stand.second.clip == clip; });
}

void CameraDesk::renew_cameras(const review::Session& session) {
    const auto readable = static_cast<std::size_t>(
        std::count_if(session.clips().begin(), session.clips().end(),
                      [](const review::ClipView& clip) { return clip.table != nullptr; }));
    const bool same = session_ == &session && run_ == session.run() && book_ == session.book() &&
                      readable_ == readable && stands_ == session.state().stands() &&
                      lenses_ == session.state().lenses();
    if (same) return;
    session_ = &session;
    run_ = session.run();
    book_ = session.book();
    readable_ = readable;
    stands_ = session.state().stands();
    lenses_ = session.state().lenses();
    ++number_;
    cameras_.reset();
    measuring_.reset();
    seen_ = {};
    measures_.reset();
    measures_known_ = measures_asked_;
    if (book_ == nullptr || stands_.empty()) return;
    cameras_ =
        std::make_shared<review::ClipCameras>(session.state(), *book_, review::readable_clips(session));
    measuring_ =
        std::make_shared<review::ClipCameras>(session.state(), *book_, review::readable_clips(session));
}

CameraPlace CameraDesk::place_of(const review::Session& session) const {
    return {session.clip(), session.picture().exact ? session.picture().frame : session.frame(), number_};
}

void CameraDesk::look(const review::Session& session) {
    if (auto answer = seen_job_.take())
        if (answer->second.place.cameras == number_) seen_ = std::move(answer->second);
    const review::ClipView* clip = session.current_clip();
    if (!cameras_ || clip == nullptr || !clip->table || clip->table->size() == 0 || !shows_plan ||
        !has_stand(session, session.clip()))
        return;
    const CameraPlace place = place_of(session);
    if (place == wanted_ || place.frame < 0 || place.frame >= clip->table->size()) return;
    wanted_ = place;
    seen_job_.ask(
        1, [place, cameras = cameras_, frame = meet::FrameRef{place.frame, (*clip->table)[place.frame].pts}](
               const std::function<bool()>&) {
            const auto camera = cameras->at(place.clip, frame);
            if (!camera) return CameraSeen{place, nullptr, camera.error()};
            return CameraSeen{place, std::make_shared<const review::FoundCamera>(**camera), std::nullopt};
        });
}

void CameraDesk::measure(const review::Session& session) {
    if (auto answer = measure_job_.take()) {
        measures_known_ = answer->first;
        if (measured_number_ == number_) measures_ = std::move(answer->second);
    }
    if (!measuring_ || book_->plan.planes.empty()) return;
    if (measured_changes_ == session.changes() && measured_number_ == number_) return;
    measured_changes_ = session.changes();
    measured_number_ = number_;
    measure_job_.ask(++measures_asked_, [state = session.state(), run = session.run(), book = *book_,
                                         cameras = measuring_](const std::function<bool()>& stopped) {
        auto measured = review::run_measures(state, run, book, *cameras, stopped);
        return std::make_shared<const Measures>(measured ? std::move(*measured) : Measures());
    });
}

const review::FoundCamera* CameraDesk::camera(const review::Session& session) const {
    return seen_.place == place_of(session) ? seen_.camera.get() : nullptr;
}

std::string CameraDesk::trouble(const review::Session& session) const {
    return seen_.place == place_of(session) && seen_.trouble ? seen_.trouble->spoken() : std::string();
}

bool CameraDesk::settled(const review::Session& session) const {
    if (drafting()) return false;
    if (!cameras_ || !shows_plan || !has_stand(session, session.clip())) return true;
    return seen_.place == place_of(session) && (book_->plan.planes.empty() || measures_ != nullptr);
}

const std::vector<review::MarkMeasured>& CameraDesk::measures() const {
    static const Measures kNone;
    return measures_ ? *measures_ : kNone;
}

const review::MarkMeasured* CameraDesk::measures_of(meet::MarkId mark) const {
    const auto found = std::find_if(measures().begin(), measures().end(),
                                    [&](const review::MarkMeasured& one) { return one.mark == mark; });
    return found == measures().end() ? nullptr : &*found;
}

}  // namespace plumbmark::desk
