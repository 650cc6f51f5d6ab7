// Laws of changes, held over random meets, and a plain model that the state is compared with step by step.
#include <rapidcheck.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <map>

#include "meet/changes.h"
#include "meet/random_changes.h"

namespace plumbmark {
namespace {

using meet::Change;
using meet::Edit;
using meet::Entity;
using meet::EntityKey;
using meet::Kind;
using meet::State;

// The things alone, without the record of ids that were ever used: what a person sees.
std::map<EntityKey, Entity> things(const State& state) {
    std::map<EntityKey, Entity> all;
    all[{Kind::meet_info, 0}] = state.info();
    const auto add = [&](const auto& map) {
        for (const auto& [id, thing] : map)
            all[meet::key_of(thing)] = thing;
    };
    add(state.athletes());
    add(state.books());
    add(state.clips());
    add(state.runs());
    add(state.marks());
    add(state.contacts());
    add(state.watched());
    add(state.drawings());
    add(state.floor_calls());
    all[{Kind::rules, 0}] = state.rules();
    add(state.divisions());
    add(state.rounds());
    add(state.entries());
    add(state.clock_times());
    add(state.appeals());
    add(state.decisions());
    add(state.publications());
    add(state.keys());
    add(state.seals());
    add(state.covers());
    add(state.lenses());
    add(state.stands());
    add(state.testers());
    add(state.rigs());
    add(state.trials());
    add(state.closings());
    add(state.releases());
    add(state.notes());
    return all;
}

// The plain model: one map of everything, copied for each change, and links looked up by walking all of it.
class Model {
  public:
    std::map<EntityKey, Entity> all{{{Kind::meet_info, 0}, meet::MeetInfo{}},
                                    {{Kind::rules, 0}, meet::Rules{}}};

    bool apply(const Change& change) {
        std::map<EntityKey, Entity> next = all;
        for (const Edit& edit : change.edits) {
            if (!edit.before && !edit.after) return false;
            if (edit.before && edit.after && meet::key_of(*edit.before) != meet::key_of(*edit.after))
                return false;
            const EntityKey key = edit.key();
            const bool single = key.kind == Kind::meet_info || key.kind == Kind::rules;
            if (single && (!edit.before || !edit.after)) return false;
            if (next.contains(key) != edit.before.has_value()) return false;
            if (edit.before && next.at(key) != *edit.before) return false;
            if (!edit.before && shares_number(next, key)) return false;
            if (edit.after && !sensible(*edit.after)) return false;
            next.erase(key);
            if (edit.after) next.emplace(key, *edit.after);
        }
        for (const auto& [key, thing] : next) {
            if (!linked(next, thing)) return false;
        }
        all = next;
        return true;
    }

  private:
    static bool marked(Kind kind) {
        return kind == Kind::mark || kind == Kind::contact || kind == Kind::watched;
    }
    static bool shares_number(const std::map<EntityKey, Entity>& all, EntityKey key) {
        return std::any_of(all.begin(), all.end(), [&](const auto& entry) {
            return marked(key.kind) && marked(entry.first.kind) && entry.first.id == key.id;
        });
    }
    static bool sensible(const Entity& thing) {
        if (const auto* mark = std::get_if<meet::Mark>(&thing)) {
            bool good = !mark->alternatives.empty() && !mark->sightings.empty();
            for (const auto& sighting : mark->sightings)
                good = good &&
                       !(sighting.early && sighting.late && sighting.early->number >= sighting.late->number);
            return good;
        }
        if (const auto* span = std::get_if<meet::WatchedSpan>(&thing))
            return span->from.number < span->to.number;
        if (const auto* run = std::get_if<meet::Run>(&thing)) {
            std::vector<meet::ClipId> sorted = run->clips;
            std::sort(sorted.begin(), sorted.end());
            return std::adjacent_find(sorted.begin(), sorted.end()) == sorted.end() &&
                   (!run->rerun_of.valid() || run->rerun_of != run->id);
        }
        if (const auto* trial = std::get_if<meet::Trial>(&thing))
            return trial->run.valid() || trial->seen != meet::TrialOutcome::not_said;
        return true;
    }
    static bool linked(const std::map<EntityKey, Entity>& all, const Entity& thing) {
        const auto there = [&](Kind kind, std::int64_t id) { return all.contains({kind, id}); };
        const auto footage = [&](meet::RunId run, meet::ClipId clip) {
            if (!there(Kind::run, run.value) || !there(Kind::clip, clip.value)) return false;
            const auto& clips = std::get<meet::Run>(all.at({Kind::run, run.value})).clips;
            return std::count(clips.begin(), clips.end(), clip) == 1;
        };
        if (const auto* run = std::get_if<meet::Run>(&thing)) {
            bool good = (!run->athlete.valid() || there(Kind::athlete, run->athlete.value)) &&
                        (!run->book.valid() || there(Kind::book, run->book.value));
            good = good && (!run->entry.valid() || there(Kind::entry, run->entry.value)) &&
                   (!run->rerun_of.valid() || there(Kind::run, run->rerun_of.value));
            for (const meet::ClipId clip : run->clips)
                good = good && there(Kind::clip, clip.value);
            return good;
        }
        if (const auto* mark = std::get_if<meet::Mark>(&thing)) {
            const auto seen = [&](const auto& one) { return footage(mark->run, one.clip); };
            return std::all_of(mark->sightings.begin(), mark->sightings.end(), seen) &&
                   std::all_of(mark->pointed.begin(), mark->pointed.end(), seen);
        }
        if (const auto* contact = std::get_if<meet::ContactStatement>(&thing))
            return footage(contact->run, contact->clip);
        if (const auto* span = std::get_if<meet::WatchedSpan>(&thing)) return footage(span->run, span->clip);
        if (const auto* drawing = std::get_if<meet::Drawing>(&thing))
            return there(Kind::clip, drawing->clip.value);
        if (const auto* call = std::get_if<meet::FloorCall>(&thing)) return there(Kind::run, call->run.value);
        if (const auto* entry = std::get_if<meet::Entry>(&thing))
            return there(Kind::athlete, entry->athlete.value) && there(Kind::round, entry->round.value);
        if (const auto* time = std::get_if<meet::ClockTime>(&thing)) return there(Kind::run, time->run.value);
        if (const auto* appeal = std::get_if<meet::Appeal>(&thing))
            return there(Kind::run, appeal->run.value);
        if (const auto* decision = std::get_if<meet::Decision>(&thing))
            return there(Kind::appeal, decision->appeal.value);
        if (const auto* key = std::get_if<meet::SigningKey>(&thing))
            return !key->replaces.valid() || there(Kind::key, key->replaces.value);
        if (const auto* seal = std::get_if<meet::Seal>(&thing))
            return there(Kind::key, seal->key.value) &&
                   (!seal->publication.valid() || there(Kind::publication, seal->publication.value));
        if (const auto* cover = std::get_if<meet::Cover>(&thing)) return there(Kind::clip, cover->clip.value);
        if (const auto* stand = std::get_if<meet::CameraStand>(&thing)) {
            const auto same_frame = [&](const auto& entry) {
                const auto* other = std::get_if<meet::CameraStand>(&entry.second);
                return other && other->clip == stand->clip && other->still.number == stand->still.number;
            };
            return there(Kind::clip, stand->clip.value) &&
                   (!stand->lens.valid() || there(Kind::lens, stand->lens.value)) &&
                   std::count_if(all.begin(), all.end(), same_frame) == 1;
        }
        const auto on_rig = [&](meet::RigId rig, const std::string& station) {
            return there(Kind::rig, rig.value) &&
                   std::get<meet::RigState>(all.at({Kind::rig, rig.value})).station == station;
        };
        if (const auto* trial = std::get_if<meet::Trial>(&thing))
            return there(Kind::tester, trial->tester.value) && on_rig(trial->rig, trial->station) &&
                   (!trial->run.valid() || there(Kind::run, trial->run.value));
        if (const auto* release = std::get_if<meet::Release>(&thing))
            return on_rig(release->rig, release->station);
        if (const auto* note = std::get_if<meet::CoachNote>(&thing)) return footage(note->run, note->clip);
        if (const auto* closing = std::get_if<meet::Closing>(&thing)) {
            return std::count_if(all.begin(), all.end(), [&](const auto& entry) {
                       const auto* other = std::get_if<meet::Closing>(&entry.second);
                       return other && other->station == closing->station && other->item == closing->item;
                   }) == 1;
        }
        if (const auto* given = std::get_if<meet::Publication>(&thing)) {
            bool good =
                there(Kind::round, given->round.value) && there(Kind::division, given->division.value);
            for (const meet::PublishedLine& line : given->lines)
                good = good && there(Kind::entry, line.entry.value);
            return good;
        }
        return true;
    }
};

State random_state(test::RandomChanges& random, int steps) {
    State state;
    for (int i = 0; i < steps; ++i)
        RC_ASSERT(state.apply(random.next(state)).ok());
    return state;
}

TEST_CASE("a change and then its inverse leave the things as they were") {
    CHECK(rc::check([] {
        test::RandomChanges random(*rc::gen::arbitrary<std::uint64_t>());
        State state = random_state(random, *rc::gen::inRange(0, 40));
        const auto before = things(state);
        const Change change = random.next(state);
        RC_ASSERT(state.apply(change).ok());
        RC_ASSERT(state.apply(meet::inverse(change)).ok());
        RC_ASSERT(things(state) == before);
        RC_ASSERT(state.apply(meet::inverse(meet::inverse(change))).ok());
    }));
}

TEST_CASE("undoing every change in turn leads back to an empty meet, and redoing them to the same one") {
    CHECK(rc::check([] {
        test::RandomChanges random(*rc::gen::arbitrary<std::uint64_t>());
        State state;
        std::vector<Change> changes;
        for (int left = *rc::gen::inRange(1, 40); left > 0; --left) {
            changes.push_back(random.next(state));
            RC_ASSERT(state.apply(changes.back()).ok());
        }
        const State full = state;
        for (auto change = changes.rbegin(); change != changes.rend(); ++change)
            RC_ASSERT(state.apply(meet::inverse(*change)).ok());
        RC_ASSERT(things(state) == things(State{}));
        for (const Change& change : changes)
            RC_ASSERT(state.apply(change).ok());
        RC_ASSERT(state == full);
    }));
}

TEST_CASE("good and spoilt changes do to the state what they do to a plain model") {
    int applied = 0;
    int refused = 0;
    CHECK(rc::check([&] {
        test::RandomChanges random(*rc::gen::arbitrary<std::uint64_t>());
        State state;
        Model model;
        for (int left = *rc::gen::inRange(1, 60); left > 0; --left) {
            const Change change = random.number(0, 2) == 0 ? random.spoilt(state) : random.next(state);
            const State before = state;
            const bool expected = model.apply(change);
            const base::Result<void> outcome = state.apply(change);
            RC_ASSERT(outcome.ok() == expected);
            RC_ASSERT(things(state) == model.all);
            if (!outcome) {
                RC_ASSERT(state == before);  // whole or not at all, ids included
                RC_ASSERT(!outcome.error().sentence.empty());
            }
            ++(outcome ? applied : refused);
        }
    }));
    CHECK(applied > 500);  // so that neither side of the comparison is empty
    CHECK(refused > 100);
}

TEST_CASE("the next id is never one that was used, also after everything is removed") {
    CHECK(rc::check([] {
        test::RandomChanges random(*rc::gen::arbitrary<std::uint64_t>());
        State state;
        std::map<EntityKey, int> given;
        for (int left = *rc::gen::inRange(1, 60); left > 0; --left) {
            const Change change = random.next(state);
            for (const Edit& edit : change.edits) {
                if (edit.after) ++given[edit.key()];
            }
            RC_ASSERT(state.apply(change).ok());
        }
        for (const auto& [key, times] : given) {
            if (key.kind != Kind::meet_info && key.kind != Kind::rules)
                RC_ASSERT(state.next_id(key.kind) > key.id);
        }
    }));
}

TEST_CASE("a state restored from its things and ids equals the one it came from") {
    CHECK(rc::check([] {
        test::RandomChanges random(*rc::gen::arbitrary<std::uint64_t>());
        const State state = random_state(random, *rc::gen::inRange(0, 40));
        std::vector<Entity> list;
        for (const auto& [key, thing] : things(state))
            list.push_back(thing);
        const base::Result<State> restored = State::restored(list, state.last_used_ids());
        RC_ASSERT(restored.ok());
        RC_ASSERT(*restored == state);
    }));
}

}  // namespace
}  // namespace plumbmark
