// What stored things say of each other: whatever is named must exist, and marks lie on footage of their run.
#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "base/worded.h"
#include "meet/changes.h"
#include "meet/internal/names.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;

Error missing(EntityKey from, EntityKey to) {
    return {Category::bad_input, base::worded("it names {}, which does not exist", name_of(to)),
            name_of(from)};
}

// The run that was looked up last: marks of one run come one after the other.
struct LastRun {
    const Run* run = nullptr;
};

// What of a thing no other of its kind may have.
std::pair<ClipId, std::int64_t> unique_of(const CameraStand& stand) {
    return {stand.clip, stand.still.number};
}
std::pair<std::string, std::string> unique_of(const Closing& closing) {
    return {closing.station, closing.item};
}

/// Things of one kind by what only one of them may have: two that share it, else one and none. Made where the
/// first of them is looked at.
template <class T>
class Unique {
  public:
    using IdType = decltype(T::id);
    /// Another one of 'all' that shares it with this one; none where there is none.
    [[nodiscard]] IdType other(const Things<T>& all, const T& thing) {
        if (!made_) make(all);
        const auto found = things_.find(unique_of(thing));
        if (found == things_.end()) return {};
        const auto [one, another] = found->second;
        return one == thing.id ? another : one;
    }

  private:
    void make(const Things<T>& all) {
        made_ = true;
        for (const auto& [id, thing] : all) {
            const auto [place, fresh] = things_.try_emplace(unique_of(thing), id, IdType{});
            if (!fresh) place->second.second = id;
        }
    }

    bool made_ = false;
    std::map<decltype(unique_of(std::declval<T>())), std::pair<IdType, IdType>> things_;
};

// Answers for one State; a functor so that std::visit picks the rule for each kind.
struct LinkRules {
    const State& state;
    EntityKey self;
    LastRun& last;
    Unique<CameraStand>& by_frame;
    Unique<Closing>& by_item;

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
        // What was measured lies on the clip of a sighting.
        for (const Pointed& pointed : mark.pointed) {
            if (Result<void> good = on_footage(mark.run, pointed.clip); !good) return good;
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
    Result<void> operator()(const CameraLens&) const { return {}; }
    Result<void> operator()(const CameraStand& stand) const {
        if (!state.clips().contains(stand.clip)) return missing(self, {Kind::clip, stand.clip.value});
        if (stand.lens.valid() && !state.lenses().contains(stand.lens))
            return missing(self, {Kind::lens, stand.lens.value});
        if (const StandId other = by_frame.other(state.stands(), stand); other.valid())
            return Error{
                Category::bad_input,
                base::worded("its frame of the clip is that of {}", name_of({Kind::stand, other.value})),
                name_of(self)};
        return {};
    }

    Result<void> operator()(const Tester&) const { return {}; }
    Result<void> operator()(const RigState&) const { return {}; }
    Result<void> operator()(const Trial& trial) const {
        if (!state.testers().contains(trial.tester)) return missing(self, {Kind::tester, trial.tester.value});
        if (Result<void> good = on_rig(trial.rig, trial.station); !good) return good;
        return trial.run.valid() ? of_run(trial.run) : Result<void>{};
    }
    Result<void> operator()(const Closing& closing) const {
        const ClosingId other = by_item.other(state.closings(), closing);
        if (!other.valid()) return {};
        return Error{
            Category::bad_input,
            base::worded("its item of the station is that of {}", name_of({Kind::closing, other.value})),
            name_of(self)};
    }
    Result<void> operator()(const Release& release) const { return on_rig(release.rig, release.station); }
    Result<void> operator()(const CoachNote& note) const { return on_footage(note.run, note.clip); }

    [[nodiscard]] Result<void> on_rig(RigId rig, const std::string& station) const {
        const auto found = state.rigs().find(rig);
        if (found == state.rigs().end()) return missing(self, {Kind::rig, rig.value});
        if (found->second.station == station) return {};
        return Error{
            Category::bad_input,
            base::worded("it names {}, which is of another station", name_of({Kind::rig, rig.value})),
            name_of(self)};
    }
    [[nodiscard]] const Run* find_run(RunId run) const {
        if (last.run != nullptr && last.run->id == run) return last.run;
        const auto found = state.runs().find(run);
        if (found == state.runs().end()) return nullptr;
        last.run = &found->second;
        return last.run;
    }
    [[nodiscard]] Result<void> of_run(RunId run) const {
        if (find_run(run) == nullptr) return missing(self, {Kind::run, run.value});
        return {};
    }
    // That a run's clips exist is looked at with the run.
    [[nodiscard]] Result<void> on_footage(RunId run, ClipId clip) const {
        const Run* found = find_run(run);
        if (found == nullptr) return missing(self, {Kind::run, run.value});
        const auto& clips = found->clips;
        if (std::find(clips.begin(), clips.end(), clip) != clips.end()) return {};
        if (!state.clips().contains(clip)) return missing(self, {Kind::clip, clip.value});
        return Error{Category::bad_input,
                     base::worded("it lies on {}, which is not among the footage of {}",
                                  name_of({Kind::clip, clip.value}), name_of({Kind::run, run.value})),
                     name_of(self)};
    }
};

/// Looks at things of one state until one does not fit.
class LinkCheck {
  public:
    explicit LinkCheck(const State& state) : state_(state) {}

    template <class T>
    void look_at(const T& thing) {
        if constexpr (requires { thing.id; }) {
            if (outcome_)
                outcome_ =
                    LinkRules{state_, {kind_for<T>(), thing.id.value}, last_, by_frame_, by_item_}(thing);
        }
    }
    template <class T>
    void look_at_all(const Things<T>& things) {
        for (const auto& [id, thing] : things)
            look_at(thing);
    }
    template <class T>
    void look_at_these(const Listed<T>& things) {
        for (const T& thing : things)
            look_at(thing);
    }
    void look_at_run(RunId run) {
        look_at_these(state_.marks_of(run));
        look_at_these(state_.contacts_of(run));
        look_at_these(state_.watched_of(run));
        look_at_these(state_.floor_calls_of(run));
        look_at_these(state_.clock_times_of(run));
        look_at_these(state_.appeals_of(run));
        look_at_these(state_.trials_of(run));
        look_at_these(state_.notes_of(run));
    }
    /// All that may name a thing of this kind, but for what belongs to a run.
    void look_at_those_naming(Kind kind) {
        const bool named_by_runs = kind == Kind::athlete || kind == Kind::book || kind == Kind::clip ||
                                   kind == Kind::run || kind == Kind::entry;
        if (named_by_runs) look_at_all(state_.runs());
        if (kind == Kind::clip) {
            look_at_all(state_.drawings());
            look_at_all(state_.covers());
            look_at_all(state_.stands());
        }
        if (kind == Kind::lens) look_at_all(state_.stands());
        if (kind == Kind::athlete || kind == Kind::round) look_at_all(state_.entries());
        if (kind == Kind::division || kind == Kind::round || kind == Kind::entry)
            look_at_all(state_.publications());
        if (kind == Kind::appeal) look_at_all(state_.decisions());
        if (kind == Kind::key) look_at_all(state_.keys());
        if (kind == Kind::key || kind == Kind::publication) look_at_all(state_.seals());
        if (kind == Kind::tester || kind == Kind::rig) look_at_all(state_.trials());
        if (kind == Kind::rig) look_at_all(state_.releases());
    }
    [[nodiscard]] Result<void> outcome() && { return std::move(outcome_); }

  private:
    const State& state_;
    LastRun last_;
    Unique<CameraStand> by_frame_;
    Unique<Closing> by_item_;
    Result<void> outcome_;
};

bool loses_footage(const Edit& edit) {
    const auto& before = std::get<Run>(*edit.before).clips;
    const auto& after = std::get<Run>(*edit.after).clips;
    return std::any_of(before.begin(), before.end(), [&](ClipId clip) {
        return std::find(after.begin(), after.end(), clip) == after.end();
    });
}

bool changes_station(const Edit& edit) {
    return std::get<RigState>(*edit.before).station != std::get<RigState>(*edit.after).station;
}

}  // namespace

Result<void> State::check_all_links() const {
    LinkCheck check(*this);
    std::apply([&](const auto&... things) { (check.look_at_all(things), ...); }, things_);
    return std::move(check).outcome();
}

// Of the things that the change does not touch, taking one away, taking footage from a run, or giving a rig
// to another station can break those that name it.
Result<void> State::check_links_after(const Change& change) const {
    LinkCheck check(*this);
    std::set<Kind> lost;  // of which one is gone, or no longer what those that name it need
    for (const Edit& edit : change.edits) {
        const EntityKey key = edit.key();
        if (edit.after && holds_exactly(*edit.after))
            std::visit([&](const auto& thing) { check.look_at(thing); }, *edit.after);
        if (!edit.before) continue;
        if (!edit.after || (key.kind == Kind::rig && changes_station(edit))) lost.insert(key.kind);
        if (key.kind == Kind::run && (!edit.after || loses_footage(edit))) check.look_at_run({key.id});
    }
    for (const Kind kind : lost)
        check.look_at_those_naming(kind);
    return std::move(check).outcome();
}

}  // namespace plumbmark::meet
