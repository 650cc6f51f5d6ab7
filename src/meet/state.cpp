#include <algorithm>
#include <type_traits>

#include "base/text.h"
#include "base/worded.h"
#include "meet/changes.h"
#include "meet/internal/names.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

bool counts_with_marks(Kind kind) {
    return kind == Kind::contact || kind == Kind::watched;
}

// Marks, contacts and watched spans draw their ids from one sequence.
std::size_t sequence_of(Kind kind) {
    return static_cast<std::size_t>(counts_with_marks(kind) ? Kind::mark : kind);
}

/// There is always exactly one, with id 0.
bool is_single(Kind kind) {
    return kind == Kind::meet_info || kind == Kind::rules;
}

template <std::size_t kKind>
using ThingOf = std::variant_alternative_t<kKind, Entity>;

/// Calls 'act' with the kind as a constant, for what differs by kind in its type only.
template <std::size_t kKind = 0, class Act>
decltype(auto) with_kind(Kind kind, const Act& act) {
    if constexpr (kKind + 1 < kKinds) {
        if (static_cast<std::size_t>(kind) != kKind) return with_kind<kKind + 1>(kind, act);
    }
    return act(std::integral_constant<std::size_t, kKind>{});
}

constexpr const char* kExistsAlready = base::to_translate("it exists already; its id cannot be given again");

// The list that holds such a thing's id.
std::vector<MarkId>& list_of(RunThings& things, const Mark&) {
    return things.marks;
}
std::vector<MarkId>& list_of(RunThings& things, const ContactStatement&) {
    return things.contacts;
}
std::vector<MarkId>& list_of(RunThings& things, const WatchedSpan&) {
    return things.watched;
}
std::vector<FloorCallId>& list_of(RunThings& things, const FloorCall&) {
    return things.floor_calls;
}
std::vector<ClockTimeId>& list_of(RunThings& things, const ClockTime&) {
    return things.clock_times;
}
std::vector<AppealId>& list_of(RunThings& things, const Appeal&) {
    return things.appeals;
}
std::vector<TrialId>& list_of(RunThings& things, const Trial&) {
    return things.trials;
}
std::vector<NoteId>& list_of(RunThings& things, const CoachNote&) {
    return things.notes;
}

/// Puts an id into an ascending list, or takes it out.
template <class IdType>
void note_in(std::vector<IdType>& ids, IdType id, bool there) {
    const auto place =
        ids.empty() || ids.back() < id ? ids.end() : std::lower_bound(ids.begin(), ids.end(), id);
    if (there)
        ids.insert(place, id);
    else
        ids.erase(place);
}

Error refused(EntityKey key, base::Sentence sentence) {
    return {Category::bad_input, std::move(sentence), name_of(key)};
}

Result<void> check_label(const Change& change) {
    if (!base::is_utf8(change.label) || change.label.find('\0') != std::string::npos)
        return Error{Category::bad_input, worded("the change's label is not UTF-8 text without U+0000"), ""};
    if (change.undoes < 0 || change.undoes > kLargestWholeNumber)
        return Error{Category::bad_input, worded("there is no journal row {} to undo", change.undoes), ""};
    return {};
}

Result<void> check_shape(const Edit& edit) {
    if (!edit.before && !edit.after)
        return Error{Category::bad_input, worded("an edit has neither a before nor an after"), ""};
    if (edit.before && edit.after && key_of(*edit.before) != key_of(*edit.after))
        return refused(key_of(*edit.before),
                       worded("its edit turns it into {}", name_of(key_of(*edit.after))));
    if (is_single(edit.key().kind) && !(edit.before && edit.after))
        return refused(edit.key(), worded("{} itself can neither come nor go", name_of(edit.key())));
    return edit.after ? check_values(*edit.after) : Result<void>{};
}

}  // namespace

std::optional<Entity> State::find(EntityKey key) const {
    return with_kind(key.kind, [&](auto kind) -> std::optional<Entity> {
        using Thing = ThingOf<kind>;
        if constexpr (std::is_same_v<Thing, MeetInfo>) {
            return key.id == 0 ? std::optional<Entity>(info_) : std::nullopt;
        } else if constexpr (std::is_same_v<Thing, Rules>) {
            return key.id == 0 ? std::optional<Entity>(rules_) : std::nullopt;
        } else {
            const auto found = all<Thing>().find({key.id});
            return found == all<Thing>().end() ? std::nullopt : std::optional<Entity>(found->second);
        }
    });
}

bool State::holds(EntityKey key) const {
    return with_kind(key.kind, [&](auto kind) {
        using Thing = ThingOf<kind>;
        if constexpr (requires { Thing::id; })
            return all<Thing>().contains({key.id});
        else
            return key.id == 0;
    });
}

bool State::holds_exactly(const Entity& entity) const {
    return std::visit(
        [this](const auto& thing) {
            using Thing = std::decay_t<decltype(thing)>;
            if constexpr (std::is_same_v<Thing, MeetInfo>) {
                return info_ == thing;
            } else if constexpr (std::is_same_v<Thing, Rules>) {
                return rules_ == thing;
            } else {
                const auto found = all<Thing>().find(thing.id);
                return found != all<Thing>().end() && found->second == thing;
            }
        },
        entity);
}

// By whichever kind of its sequence.
bool State::id_is_taken(EntityKey key) const {
    const std::size_t sequence = sequence_of(key.kind);
    if (key.id > last_used_id_[sequence]) return false;
    if (sequence != static_cast<std::size_t>(Kind::mark)) return holds(key);
    return holds({Kind::mark, key.id}) || holds({Kind::contact, key.id}) || holds({Kind::watched, key.id});
}

template <class T>
void State::note(const T& thing, bool there) {
    if constexpr (requires { list_of(std::declval<RunThings&>(), thing); }) {
        if (!thing.run.valid()) return;  // a trial that was judged by eye
        RunThings& things = by_run_[thing.run];
        note_in(list_of(things, thing), thing.id, there);
        if (!there && things == RunThings{}) by_run_.erase(thing.run);
    } else if constexpr (std::is_same_v<T, Run>) {
        if (!thing.entry.valid()) return;
        std::vector<RunId>& runs = by_entry_[thing.entry];
        note_in(runs, thing.id, there);
        if (runs.empty()) by_entry_.erase(thing.entry);
    }
}

template <class T>
void State::put_thing(T thing) {
    Things<T>& things = std::get<Things<T>>(things_);
    const auto id = thing.id;
    auto place = things.empty() || things.rbegin()->first < id ? things.end() : things.lower_bound(id);
    if (place != things.end() && place->first == id) {
        note(place->second, false);
        place->second = std::move(thing);
    } else {
        place = things.emplace_hint(place, id, std::move(thing));
    }
    note(place->second, true);
}

void State::put(Entity entity) {
    const EntityKey key = key_of(entity);
    std::visit(
        [this](auto& thing) {
            using Thing = std::decay_t<decltype(thing)>;
            if constexpr (std::is_same_v<Thing, MeetInfo>)
                info_ = std::move(thing);
            else if constexpr (std::is_same_v<Thing, Rules>)
                rules_ = std::move(thing);
            else
                put_thing(std::move(thing));
        },
        entity);
    std::int64_t& last = last_used_id_[sequence_of(key.kind)];
    last = std::max(last, key.id);
}

void State::take(EntityKey key) {
    with_kind(key.kind, [&](auto kind) {
        using Thing = ThingOf<kind>;
        // What is single is always there; check_shape keeps such edits out.
        if constexpr (requires { Thing::id; }) {
            Things<Thing>& things = std::get<Things<Thing>>(things_);
            const auto place = things.find({key.id});
            if (place == things.end()) return;
            note(place->second, false);
            things.erase(place);
        }
    });
}

State::State() = default;
State::State(const State& other) = default;
State::State(State&& other) noexcept = default;
State& State::operator=(const State& other) = default;
State& State::operator=(State&& other) noexcept = default;
State::~State() = default;

bool operator==(const State& a, const State& b) = default;

const RunThings& State::things_of(RunId run) const {
    static const RunThings kNothing;
    const auto found = by_run_.find(run);
    return found == by_run_.end() ? kNothing : found->second;
}

Listed<Run> State::runs_of(EntryId entry) const {
    static const std::vector<RunId> kNone;
    const auto found = by_entry_.find(entry);
    return {found == by_entry_.end() ? kNone : found->second, runs()};
}

Result<void> State::step(const Edit& edit) {
    if (Result<void> shape = check_shape(edit); !shape) return shape;
    const EntityKey key = edit.key();
    const bool stored = holds(key);
    if (stored && !edit.before) return refused(key, base::looked_up_word(kExistsAlready));
    if (!stored && edit.before) return refused(key, worded("it does not exist (any more)"));
    if (stored && !holds_exactly(*edit.before))
        return refused(key, worded("it is not what the edit says it was before"));
    if (!stored && id_is_taken(key)) {
        for (const Kind other : {Kind::mark, Kind::contact, Kind::watched}) {
            if (holds({other, key.id}))
                return refused(key, worded("its id is that of {}", name_of({other, key.id})));
        }
    }
    if (edit.after)
        put(*edit.after);
    else
        take(key);
    return {};
}

Result<void> State::apply(const Change& change) {
    if (Result<void> label = check_label(change); !label) return label;
    const IdsByKind last_used_before = last_used_id_;
    std::size_t done = 0;
    Result<void> outcome;
    while (outcome && done < change.edits.size()) {
        outcome = step(change.edits[done]);
        if (outcome) ++done;
    }
    if (outcome) outcome = check_links_after(change);
    if (outcome) return outcome;
    while (done > 0) {
        const Edit& edit = change.edits[--done];
        if (edit.before)
            put(*edit.before);
        else
            take(edit.key());
    }
    last_used_id_ = last_used_before;
    return outcome;
}

std::int64_t State::next_id(Kind kind) const {
    if (is_single(kind)) return 0;
    return last_used_id_[sequence_of(kind)] + 1;
}

Result<State> State::restored(std::vector<Entity> things, const IdsByKind& last_used_ids) {
    State state;
    for (Entity& thing : things) {
        if (Result<void> good = check_values(thing); !good) return good.error();
        const EntityKey key = key_of(thing);
        // What is single is there before, as it is in a state without anything.
        if (!is_single(key.kind) && state.id_is_taken(key))
            return refused(key, base::looked_up_word(kExistsAlready));
        state.put(std::move(thing));
    }
    if (Result<void> linked = state.check_all_links(); !linked) return linked.error();
    for (std::size_t i = 0; i < last_used_ids.size(); ++i) {
        if (state.last_used_id_[i] > last_used_ids[i] || last_used_ids[i] > kLargestWholeNumber) {
            const Kind kind = static_cast<Kind>(i);
            return Error{Category::bad_input,
                         worded("the largest id said to be used is {}, yet {} is in use", last_used_ids[i],
                                state.last_used_id_[i]),
                         kind_word(kind)};
        }
    }
    state.last_used_id_ = last_used_ids;
    return state;
}

}  // namespace plumbmark::meet
