// The commands of a session that speak of a clip's time: its capture time, and its repeated pictures.
#include <algorithm>
#include <chrono>
#include <thread>

#include "base/worded.h"
#include "review/capture_time.h"
#include "review/internal/session_inner.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

Result<void> Session::set_capture(meet::ClipId clip, const meet::CaptureMap& given) {
    const auto stored = inner_->state.clips().find(clip);
    if (stored == inner_->state.clips().end())
        return Error{Category::not_found, worded("There is no clip to give a capture time to."), ""};
    meet::Clip changed = stored->second;
    changed.capture.clear();
    if (!given.empty()) {
        const ClipDesk* desk = inner_->desk_of(clip);
        if (desk && desk->view().error) return *desk->view().error;
        if (!desk || !desk->view().table)
            return Error{Category::busy,
                         worded("The clip is still being read; its frames are not known yet."),
                         stored->second.name};
        Result<meet::CaptureMap> map = completed(given, *desk->view().table);
        if (!map) return map.error();
        changed.capture = std::move(*map);
    }
    if (changed.capture == stored->second.capture) return {};
    const std::string label = changed.capture.empty() ? std::string("capture time: no word")
                                                      : "capture time " + meet::capture_text(changed.capture);
    return inner_->commit_one(label, stored->second, changed);
}

Result<void> Session::Inner::take_repeats(ClipDesk& desk) {
    const auto stored = state.clips().find(desk.view().id);
    if (options.read_only || stored == state.clips().end()) return {};
    const std::optional<meet::Clip> found = desk.take_repeats(stored->second);
    if (!found) return {};
    return commit({kRepeatsLabel, {{stored->second, *found}}, 0}, false);
}

ClipDesk* Session::Inner::next_to_look_through() {
    ClipDesk* next = nullptr;
    for (const ClipView& view : views) {
        ClipDesk* desk = desk_of(view.id);
        if (!desk) continue;
        if (desk->looking_for_repeats()) return nullptr;
        if (!next && desk->may_look_for_repeats(state.clips().at(view.id))) next = desk;
    }
    return next;
}

void Session::Inner::look_through_clips() {
    if (options.read_only || !options.look_for_repeats) return;
    if (ClipDesk* next = next_to_look_through())
        next->look_for_repeats([moved = hand_movement] { return moved->recent(); });
}

Result<void> Session::find_repeats(const std::function<void(double)>& progress) {
    if (read_only())
        return Error{Category::unsupported,
                     worded("This meet was opened for reading only, so nothing can be changed in it."), ""};
    const bool before = inner_->options.look_for_repeats;
    inner_->options.look_for_repeats = true;
    while (true) {
        poll();
        std::size_t waiting = 0;
        double done = 0;
        for (const ClipView& view : inner_->views) {
            const ClipDesk* desk = inner_->desk_of(view.id);
            const bool wanted = desk->looking_for_repeats() || (!view.table && !view.error) ||
                                desk->may_look_for_repeats(inner_->state.clips().at(view.id));
            waiting += wanted ? 1 : 0;
            done += wanted ? std::max(0.0, view.repeats_progress) : 1;
        }
        if (waiting == 0) break;
        if (progress) progress(done / static_cast<double>(inner_->views.size()));
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    inner_->options.look_for_repeats = before;
    return settle();
}

}  // namespace plumbmark::review
