// The whole files of clips: read in the background, kept with the meet, and held to what it knows.
#include <algorithm>

#include "review/internal/session_inner.h"

namespace plumbmark::review {
namespace {

meet::ClipContent stored_form(const media::FileContent& content) {
    return {content.sha256, content.changed_at};
}

}  // namespace

bool Session::Inner::wants_content_of(const ClipDesk& desk) const {
    if (!options.read_whole_files || !desk.may_be_read_whole()) return false;
    const auto stored = state.clips().find(desk.view().id);
    // What cannot be stored is only worth reading to hold it to what is known.
    return stored != state.clips().end() && (!options.read_only || stored->second.content);
}

bool Session::Inner::look_after_contents() {
    bool scanning = false, changed = false;
    for (auto& [id, desk] : desks) {
        scanning |= !desk->view().file.empty() && !desk->view().table && !desk->view().error;
        if (wants_content_of(*desk)) {
            const auto& known = state.clips().at(id).content;
            desk->note_asked_for_content();
            content_job->ask(id, desk->view().file, known ? std::optional(known->changed_at) : std::nullopt);
        }
        changed |= desk->set_content_progress(content_job->progress(id));
    }
    content_job->hold(scanning);
    for (const ContentFound& found : content_job->take())
        changed |= take_content(found);
    return changed;
}

bool Session::Inner::take_content(const ContentFound& found) {
    ClipDesk* desk = desk_of(found.clip);
    const auto stored = state.clips().find(found.clip);
    if (!desk || stored == state.clips().end()) return false;
    if (!found.content) return desk->refuse_content(found.content.error());
    if (!*found.content) return false;  // nobody wrote to the file since it was read
    const meet::ClipContent now = stored_form(**found.content);
    const std::optional<meet::ClipContent> known = stored->second.content;
    if (known && known->sha256 != now.sha256) {
        desk->tell_other_content();
        ask_ruling();
        return true;
    }
    if (options.read_only || known == now) return false;
    meet::Clip known_now = stored->second;
    known_now.content = now;
    // A row of the program's own: undo is for what the reviewer did.
    (void)commit({kContentLabel, {{stored->second, known_now}}, 0}, false).ok();
    return true;
}

}  // namespace plumbmark::review
