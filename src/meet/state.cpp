#include <fmt/format.h>

#include <algorithm>
#include <type_traits>

#include "base/text.h"
#include "meet/changes.h"
#include "meet/internal/names.h"

namespace plumbmark::meet {
namespace {

using base::Category;
using base::Error;
using base::Result;

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

Error refused(EntityKey key, std::string sentence) {
    return {Category::bad_input, std::move(sentence), name_of(key)};
}

Result<void> check_label(const Change& change) {
    if (!base::is_utf8(change.label) || change.label.find('\0') != std::string::npos)
        return Error{Category::bad_input, "the change's label is not UTF-8 text without U+0000", ""};
    if (change.undoes < 0 || change.undoes > kLargestWholeNumber)
        return Error{Category::bad_input, fmt::format("there is no journal row {} to undo", change.undoes),
                     ""};
    return {};
}

Result<void> check_shape(const Edit& edit) {
    if (!edit.before && !edit.after)
        return Error{Category::bad_input, "an edit has neither a before nor an after", ""};
    if (edit.before && edit.after && key_of(*edit.before) != key_of(*edit.after))
        return refused(key_of(*edit.before), "its edit turns it into " + name_of(key_of(*edit.after)));
    if (is_single(edit.key().kind) && !(edit.before && edit.after))
        return refused(edit.key(), name_of(edit.key()) + " itself can neither come nor go");
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

void State::put(const Entity& entity) {
    std::visit(
        [this](const auto& thing) {
            using Thing = std::decay_t<decltype(thing)>;
            if constexpr (std::is_same_v<Thing, MeetInfo>) {
                info_ = thing;
            } else if constexpr (std::is_same_v<Thing, Rules>) {
                rules_ = thing;
            } else {
                std::get<Things<Thing>>(things_).insert_or_assign(thing.id, thing);
            }
        },
        entity);
    const EntityKey key = key_of(entity);
    std::int64_t& last = last_used_id_[sequence_of(key.kind)];
    last = std::max(last, key.id);
}

void State::take(EntityKey key) {
    with_kind(key.kind, [&](auto kind) {
        using Thing = ThingOf<kind>;
        // What is single is always there; check_shape keeps such edits out.
        if constexpr (requires { Thing::id; }) std::get<Things<Thing>>(things_).erase({key.id});
    });
}

Result<void> State::step(const Edit& edit) {
    if (Result<void> shape = check_shape(edit); !shape) return shape;
    const EntityKey key = edit.key();
    const std::optional<Entity> stored = find(key);
    if (stored && !edit.before) return refused(key, "it exists already; its id cannot be given again");
    if (!stored && edit.before) return refused(key, "it does not exist (any more)");
    if (stored != edit.before) return refused(key, "it is not what the edit says it was before");
    if (!stored && sequence_of(key.kind) == static_cast<std::size_t>(Kind::mark)) {
        for (const Kind other : {Kind::mark, Kind::contact, Kind::watched}) {
            if (find({other, key.id})) return refused(key, "its id is that of " + name_of({other, key.id}));
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

Result<State> State::restored(const std::vector<Entity>& things, const IdsByKind& last_used_ids) {
    State state;
    Change all;
    for (const Entity& thing : things) {
        // What is single is there before, as it is in a state without anything.
        const EntityKey key = key_of(thing);
        all.edits.push_back({is_single(key.kind) ? state.find(key) : std::nullopt, thing});
    }
    if (Result<void> applied = state.apply(all); !applied) return applied.error();
    for (std::size_t i = 0; i < last_used_ids.size(); ++i) {
        if (state.last_used_id_[i] > last_used_ids[i] || last_used_ids[i] > kLargestWholeNumber) {
            const Kind kind = static_cast<Kind>(i);
            return Error{Category::bad_input,
                         fmt::format("the largest id said to be used is {}, yet {} is in use",
                                     last_used_ids[i], state.last_used_id_[i]),
                         kind_word(kind)};
        }
    }
    state.last_used_id_ = last_used_ids;
    return state;
}

}  // namespace plumbmark::meet
