// What stored things say of each other: whatever is named must exist, and marks lie on footage of their run.
#include <algorithm>
#include <set>

#include "meet/changes.h"
#include "meet/internal/names.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;

Error missing(EntityKey from, EntityKey to) {
    return {Category::bad_input, "it names " + name_of(to) + ", which does not exist", name_of(from)};
}

// Things that others may name. Taking one away, or taking footage from a run, can break links of things that
// the change does not touch; then everything is looked at.
bool may_break_others(const Edit& edit) {
    if (!edit.before) return false;
    const Kind kind = edit.key().kind;
    const bool named_by_others = kind == Kind::athlete || kind == Kind::book || kind == Kind::clip ||
                                 kind == Kind::run || kind == Kind::division || kind == Kind::round ||
                                 kind == Kind::entry || kind == Kind::appeal || kind == Kind::publication ||
                                 kind == Kind::key;
    if (!edit.after) return named_by_others;
    if (kind != Kind::run) return false;
    const auto& before = std::get<Run>(*edit.before).clips;
    const auto& after = std::get<Run>(*edit.after).clips;
    return std::any_of(before.begin(), before.end(), [&](ClipId clip) {
        return std::find(after.begin(), after.end(), clip) == after.end();
    });
}

// Answers for one State; a functor so that std::visit picks the rule for each kind.
struct LinkRules {
    const State& state;
    EntityKey self;

    Result<void> operator()(const MeetInfo&) const { return {}; }
    Result<void> operator()(const Athlete&) const { return {}; }
    Result<void> operator()(const BookRevision&) const { return {}; }
    Result<void> operator()(const Clip&) const { return {}; }
    Result<void> operator()(const Run& run) const {
        if (run.athlete.valid() && !state.athletes().contains(run.athlete))
            return missing(self, {Kind::athlete, run.athlete.value});
        if (run.book.valid() && !state.books().contains(run.book))
            return missing(self, {Kind::book, run.book.value});
        for (const ClipId clip : run.clips) {
            if (!state.clips().contains(clip)) return missing(self, {Kind::clip, clip.value});
        }
        if (run.entry.valid() && !state.entries().contains(run.entry))
            return missing(self, {Kind::entry, run.entry.value});
        if (run.rerun_of.valid() && !state.runs().contains(run.rerun_of))
            return missing(self, {Kind::run, run.rerun_of.value});
        return {};
    }
    Result<void> operator()(const Mark& mark) const {
        for (const Sighting& sighting : mark.sightings) {
            if (Result<void> good = on_footage(mark.run, sighting.clip); !good) return good;
        }
        return {};
    }
    Result<void> operator()(const ContactStatement& contact) const {
        return on_footage(contact.run, contact.clip);
    }
    Result<void> operator()(const WatchedSpan& span) const { return on_footage(span.run, span.clip); }
    Result<void> operator()(const Drawing& drawing) const {
        if (!state.clips().contains(drawing.clip)) return missing(self, {Kind::clip, drawing.clip.value});
        return {};
    }
    Result<void> operator()(const FloorCall& call) const { return of_run(call.run); }

    Result<void> operator()(const Rules&) const { return {}; }
    Result<void> operator()(const Division&) const { return {}; }
    Result<void> operator()(const Round&) const { return {}; }
    Result<void> operator()(const Entry& entry) const {
        if (!state.athletes().contains(entry.athlete))
            return missing(self, {Kind::athlete, entry.athlete.value});
        if (!state.rounds().contains(entry.round)) return missing(self, {Kind::round, entry.round.value});
        return {};
    }
    Result<void> operator()(const ClockTime& time) const { return of_run(time.run); }
    Result<void> operator()(const Appeal& appeal) const { return of_run(appeal.run); }
    Result<void> operator()(const Decision& decision) const {
        if (!state.appeals().contains(decision.appeal))
            return missing(self, {Kind::appeal, decision.appeal.value});
        return {};
    }
    Result<void> operator()(const Publication& publication) const {
        if (!state.rounds().contains(publication.round))
            return missing(self, {Kind::round, publication.round.value});
        if (!state.divisions().contains(publication.division))
            return missing(self, {Kind::division, publication.division.value});
        for (const PublishedLine& line : publication.lines) {
            if (!state.entries().contains(line.entry)) return missing(self, {Kind::entry, line.entry.value});
        }
        return {};
    }

    Result<void> operator()(const SigningKey& key) const {
        if (key.replaces.valid() && !state.keys().contains(key.replaces))
            return missing(self, {Kind::key, key.replaces.value});
        return {};
    }
    Result<void> operator()(const Seal& seal) const {
        if (!state.keys().contains(seal.key)) return missing(self, {Kind::key, seal.key.value});
        if (seal.publication.valid() && !state.publications().contains(seal.publication))
            return missing(self, {Kind::publication, seal.publication.value});
        return {};
    }
    Result<void> operator()(const Cover& cover) const {
        if (!state.clips().contains(cover.clip)) return missing(self, {Kind::clip, cover.clip.value});
        return {};
    }

    [[nodiscard]] Result<void> of_run(RunId run) const {
        if (!state.runs().contains(run)) return missing(self, {Kind::run, run.value});
        return {};
    }
    [[nodiscard]] Result<void> on_footage(RunId run, ClipId clip) const {
        const auto found = state.runs().find(run);
        if (found == state.runs().end()) return missing(self, {Kind::run, run.value});
        if (!state.clips().contains(clip)) return missing(self, {Kind::clip, clip.value});
        const auto& clips = found->second.clips;
        if (std::find(clips.begin(), clips.end(), clip) != clips.end()) return {};
        return Error{Category::bad_input,
                     "it lies on " + name_of({Kind::clip, clip.value}) +
                         ", which is not among the footage of " + name_of({Kind::run, run.value}),
                     name_of(self)};
    }
};

}  // namespace

Result<void> State::check_links(const Entity& entity) const {
    return std::visit(LinkRules{*this, key_of(entity)}, entity);
}

Result<void> State::check_all_links() const {
    Result<void> result;
    const auto check_kind = [&](const auto& things) {
        for (const auto& [id, thing] : things) {
            if (!result) return;
            result = LinkRules{*this, {kind_for<std::decay_t<decltype(thing)>>(), id.value}}(thing);
        }
    };
    std::apply([&](const auto&... things) { (check_kind(things), ...); }, things_);
    return result;
}

Result<void> State::check_links_after(const Change& change) const {
    if (std::any_of(change.edits.begin(), change.edits.end(), may_break_others)) return check_all_links();
    for (const Edit& edit : change.edits) {
        const std::optional<Entity> now = find(edit.key());
        if (!now) continue;
        if (Result<void> good = check_links(*now); !good) return good;
    }
    return {};
}

}  // namespace plumbmark::meet
