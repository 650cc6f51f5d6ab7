#include <fmt/format.h>

#include <algorithm>

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

template <class Map, class Id>
std::optional<Entity> look_up(const Map& map, Id id) {
    const auto found = map.find(id);
    if (found == map.end()) return std::nullopt;
    return Entity{found->second};
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
    if (edit.key().kind == Kind::meet_info && !(edit.before && edit.after))
        return refused(edit.key(), "the meet itself can neither come nor go");
    return edit.after ? check_values(*edit.after) : Result<void>{};
}

}  // namespace

std::optional<Entity> State::find(EntityKey key) const {
    switch (key.kind) {
        case Kind::meet_info:
            return key.id == 0 ? std::optional<Entity>(info_) : std::nullopt;
        case Kind::athlete:
            return look_up(athletes_, AthleteId{key.id});
        case Kind::book:
            return look_up(books_, BookId{key.id});
        case Kind::clip:
            return look_up(clips_, ClipId{key.id});
        case Kind::run:
            return look_up(runs_, RunId{key.id});
        case Kind::mark:
            return look_up(marks_, MarkId{key.id});
        case Kind::contact:
            return look_up(contacts_, MarkId{key.id});
        case Kind::watched:
            return look_up(watched_, MarkId{key.id});
        case Kind::drawing:
            return look_up(drawings_, DrawingId{key.id});
        case Kind::floor_call:
            return look_up(floor_calls_, FloorCallId{key.id});
    }
    return std::nullopt;
}

void State::put(const Entity& entity) {
    struct Putter {
        State& state;
        void operator()(const MeetInfo& thing) const { state.info_ = thing; }
        void operator()(const Athlete& thing) const { state.athletes_.insert_or_assign(thing.id, thing); }
        void operator()(const BookRevision& thing) const { state.books_.insert_or_assign(thing.id, thing); }
        void operator()(const Clip& thing) const { state.clips_.insert_or_assign(thing.id, thing); }
        void operator()(const Run& thing) const { state.runs_.insert_or_assign(thing.id, thing); }
        void operator()(const Mark& thing) const { state.marks_.insert_or_assign(thing.id, thing); }
        void operator()(const ContactStatement& thing) const {
            state.contacts_.insert_or_assign(thing.id, thing);
        }
        void operator()(const WatchedSpan& thing) const { state.watched_.insert_or_assign(thing.id, thing); }
        void operator()(const Drawing& thing) const { state.drawings_.insert_or_assign(thing.id, thing); }
        void operator()(const FloorCall& thing) const {
            state.floor_calls_.insert_or_assign(thing.id, thing);
        }
    };
    std::visit(Putter{*this}, entity);
    const EntityKey key = key_of(entity);
    std::int64_t& last = last_used_id_[sequence_of(key.kind)];
    last = std::max(last, key.id);
}

void State::take(EntityKey key) {
    switch (key.kind) {
        case Kind::meet_info:
            return;  // always there; check_shape keeps such edits out
        case Kind::athlete:
            athletes_.erase(AthleteId{key.id});
            return;
        case Kind::book:
            books_.erase(BookId{key.id});
            return;
        case Kind::clip:
            clips_.erase(ClipId{key.id});
            return;
        case Kind::run:
            runs_.erase(RunId{key.id});
            return;
        case Kind::mark:
            marks_.erase(MarkId{key.id});
            return;
        case Kind::contact:
            contacts_.erase(MarkId{key.id});
            return;
        case Kind::watched:
            watched_.erase(MarkId{key.id});
            return;
        case Kind::drawing:
            drawings_.erase(DrawingId{key.id});
            return;
        case Kind::floor_call:
            floor_calls_.erase(FloorCallId{key.id});
            return;
    }
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
    const std::array<std::int64_t, 10> last_used_before = last_used_id_;
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
    if (kind == Kind::meet_info) return 0;
    return last_used_id_[sequence_of(kind)] + 1;
}

Result<State> State::restored(const std::vector<Entity>& things,
                              const std::array<std::int64_t, 10>& last_used_ids) {
    State state;
    Change all;
    for (const Entity& thing : things) {
        const bool info = key_of(thing).kind == Kind::meet_info;
        all.edits.push_back({info ? std::optional<Entity>(MeetInfo{}) : std::nullopt, thing});
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
