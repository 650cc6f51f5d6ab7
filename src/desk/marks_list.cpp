// The list of all that is marked in the run: narrowed by typing, each entry goes to its place.
#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "desk/internal/desk_core.h"
#include "desk/internal/reading.h"
#include "desk/internal/say.h"
#include "desk/internal/sightings.h"
#include "review/words.h"

namespace plumbmark::desk {
namespace {

struct Entry {
    meet::MarkId id;
    bool here = false;        ///< on the clip that is worked on
    std::int64_t frame = 0;   ///< where to go
    std::string words, clip;  ///< "left foot touches quay deck, f 118 to 119, possible", "camera A"
};

class MarkEntries {
  public:
    explicit MarkEntries(const review::Session& session) : session_(session) {}

    std::vector<Entry> all() {
        const meet::State& state = session_.state();
        const meet::RunId run = session_.run();
        for (const meet::Mark& mark : state.marks_of(run))
            add(mark);
        for (const meet::ContactStatement& contact : state.contacts_of(run))
            add(contact.id, contact.clip, contact.frame.number,
                contact.on ? tr("{} on {}, at f {}", part_name(contact.part),
                                surface_name(session_, contact.surface), contact.frame.number)
                           : tr("{} off {}, at f {}", part_name(contact.part),
                                surface_name(session_, contact.surface), contact.frame.number));
        for (const meet::WatchedSpan& span : state.watched_of(run))
            add(span.id, span.clip, span.from.number,
                span.scope.whole_athlete
                    ? tr("watched, f {} to {}", span.from.number, span.to.number)
                    : tr("watched in part, f {} to {}", span.from.number, span.to.number));
        std::stable_sort(list_.begin(), list_.end(), [](const Entry& a, const Entry& b) {
            if (a.here != b.here) return a.here;
            return std::tie(a.clip, a.frame) < std::tie(b.clip, b.frame);
        });
        return std::move(list_);
    }

  private:
    /// By its bracket on the clip that is worked on, else by its first.
    void add(const meet::Mark& mark) {
        const meet::Sighting* here = sighting_on(mark, session_.clip());
        const meet::Sighting& shown = here ? *here : mark.sightings.front();
        meet::Mark one = mark;
        one.sightings = {shown};
        const auto& frame = shown.late ? shown.late : shown.early;
        add(mark.id, shown.clip, frame ? frame->number : 0,
            mark_words(session_, one) + (mark.note.empty() ? "" : ": " + mark.note));
    }

    void add(meet::MarkId id, meet::ClipId clip, std::int64_t frame, std::string words) {
        const auto stored = session_.state().clips().find(clip);
        list_.push_back({id, clip == session_.clip(), frame, std::move(words),
                         stored == session_.state().clips().end() ? "" : stored->second.name});
    }

    const review::Session& session_;
    std::vector<Entry> list_;
};

}  // namespace

void DeskCore::list_marks() {
    Chooser list;
    list.title = tr("All that is marked. Type to narrow it: a limb, a surface, 'possible', a camera.");
    list.typed = true;
    list.wide = true;
    for (Entry& entry : MarkEntries(*session_).all()) {
        if (entry.id == session_->selected()) list.cursor = static_cast<int>(list.choices.size());
        list.choices.push_back({std::move(entry.words), std::move(entry.clip), GoMark{entry.id}});
    }
    if (list.choices.empty()) return say(tr("Nothing is marked in this run yet."));
    views_.chooser = std::move(list);
}

}  // namespace plumbmark::desk
