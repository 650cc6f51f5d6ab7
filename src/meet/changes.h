// Changes to a meet. A change is a list of edits, each carrying the value before and after, so that undoing
// it is the same change turned round: a new journal row, never a rewritten one.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <unordered_map>
#include <utility>
#include <variant>
#include <vector>

#include "base/result.h"
#include "meet/camera.h"
#include "meet/competition.h"
#include "meet/cover.h"
#include "meet/record.h"
#include "meet/testing.h"
#include "meet/values.h"

namespace plumbmark::meet {

/// The kinds of stored things, in the order of the alternatives of Entity. The numbers are part of the file
/// format.
enum class Kind : std::uint8_t {
    meet_info = 0,
    athlete = 1,
    book = 2,
    clip = 3,
    run = 4,
    mark = 5,
    contact = 6,
    watched = 7,
    drawing = 8,
    floor_call = 9,
    rules = 10,
    division = 11,
    round = 12,
    entry = 13,
    clock_time = 14,
    appeal = 15,
    decision = 16,
    publication = 17,
    key = 18,
    seal = 19,
    cover = 20,
    lens = 21,
    stand = 22,
    tester = 23,
    rig = 24,
    trial = 25,
    closing = 26,
    release = 27,
    coach_note = 28,
};

using Entity = std::variant<MeetInfo, Athlete, BookRevision, Clip, Run, Mark, ContactStatement, WatchedSpan,
                            Drawing, FloorCall, Rules, Division, Round, Entry, ClockTime, Appeal, Decision,
                            Publication, SigningKey, Seal, Cover, CameraLens, CameraStand, Tester, RigState,
                            Trial, Closing, Release, CoachNote>;
inline constexpr std::size_t kKinds = std::variant_size_v<Entity>;

/// The kind of things of this type.
template <class T>
[[nodiscard]] constexpr Kind kind_for() {
    return []<std::size_t... k>(std::index_sequence<k...>) {
        return static_cast<Kind>(((std::is_same_v<T, std::variant_alternative_t<k, Entity>> ? k : 0) + ...));
    }
    (std::make_index_sequence<kKinds>{});
}

/// An id for each kind of thing.
using IdsByKind = std::array<std::int64_t, kKinds>;

/// The kind and id of a stored thing.
struct EntityKey {
    Kind kind = Kind::meet_info;
    std::int64_t id = 0;
    friend auto operator<=>(const EntityKey&, const EntityKey&) = default;
};
[[nodiscard]] EntityKey key_of(const Entity& entity);
/// "mark", "watched" ...: the word used in the journal.
[[nodiscard]] const char* kind_word(Kind kind);
/// The kind that word names; none when there is no such kind.
[[nodiscard]] std::optional<Kind> kind_from_word(std::string_view word);

/// Ids, frame numbers and counts stay below this, so that they are exact as JSON numbers (2^53 - 1, RFC
/// 7493).
inline constexpr std::int64_t kLargestWholeNumber = 9'007'199'254'740'991;

/// Bytes of a text that a person types, and of a course book: more is a mistake or malice.
inline constexpr std::size_t kLongestText = std::size_t{1} << 20U;
inline constexpr std::size_t kLongestBook = std::size_t{16} << 20U;

/// Whether a value makes sense taken alone: texts are UTF-8 without U+0000 and not too long, numbers are in
/// range, a bracket's early frame is before its late one, a mark has alternatives and sightings, an event has
/// the fields that its kind needs and no others, a lens and a stand are as camera.h says, and what was tried
/// out as testing.h says. Error bad_input, 'where' naming the thing ("mark 12").
[[nodiscard]] base::Result<void> check_values(const Entity& entity);

/// One thing that comes (no before), changes, or goes (no after).
struct Edit {
    std::optional<Entity> before;
    std::optional<Entity> after;
    [[nodiscard]] EntityKey key() const;
    friend bool operator==(const Edit&, const Edit&) = default;
};

struct Change {
    std::string
        label;  ///< what the person did, for undo menus: "mark left foot, touch"; never holds personal data
    std::vector<Edit> edits;
    /// For an undo or redo: the journal row that it turns round. 0: neither.
    std::int64_t undoes = 0;
    friend bool operator==(const Change&, const Change&) = default;
};

/// The change that takes this one back: edits in reverse order with before and after exchanged.
[[nodiscard]] Change inverse(const Change& change);

/// The things of one kind by id, so that walking them is always in the same order.
template <class T>
using Things = std::map<decltype(T::id), T>;

/// The things that a list of ids names, in its order, for a range-for: found by their ids, not searched for.
/// Holds until the next change of the state that it is of.
template <class T>
class Listed {
  public:
    using IdType = decltype(T::id);
    class Iterator {
      public:
        Iterator(const IdType* place, const Things<T>* things) : place_(place), things_(things) {}
        const T& operator*() const { return things_->at(*place_); }
        Iterator& operator++() {
            ++place_;
            return *this;
        }
        friend bool operator==(const Iterator& a, const Iterator& b) { return a.place_ == b.place_; }

      private:
        const IdType* place_;
        const Things<T>* things_;
    };

    Listed(const std::vector<IdType>& ids, const Things<T>& things) : ids_(&ids), things_(&things) {}
    [[nodiscard]] Iterator begin() const { return {ids_->data(), things_}; }
    [[nodiscard]] Iterator end() const { return {ids_->data() + ids_->size(), things_}; }
    [[nodiscard]] bool empty() const { return ids_->empty(); }

  private:
    const std::vector<IdType>* ids_;
    const Things<T>* things_;
};

/// The ids of all that belongs to one run, each list ascending.
struct RunThings {
    std::vector<MarkId> marks, contacts, watched;
    std::vector<FloorCallId> floor_calls;
    std::vector<ClockTimeId> clock_times;
    std::vector<AppealId> appeals;
    std::vector<TrialId> trials;
    std::vector<NoteId> notes;
    friend bool operator==(const RunThings&, const RunThings&) = default;
};

/// All that a meet file holds at one moment.
class State {
  public:
    // Defined in state.cpp: copying and ending all these tables is a large piece of code.
    State();
    State(const State& other);
    State(State&& other) noexcept;
    State& operator=(const State& other);
    State& operator=(State&& other) noexcept;
    ~State();

    [[nodiscard]] const MeetInfo& info() const { return info_; }
    [[nodiscard]] const Rules& rules() const { return rules_; }
    [[nodiscard]] const Things<Athlete>& athletes() const { return all<Athlete>(); }
    [[nodiscard]] const Things<BookRevision>& books() const { return all<BookRevision>(); }
    [[nodiscard]] const Things<Clip>& clips() const { return all<Clip>(); }
    [[nodiscard]] const Things<Run>& runs() const { return all<Run>(); }
    [[nodiscard]] const Things<Mark>& marks() const { return all<Mark>(); }
    [[nodiscard]] const Things<ContactStatement>& contacts() const { return all<ContactStatement>(); }
    [[nodiscard]] const Things<WatchedSpan>& watched() const { return all<WatchedSpan>(); }
    [[nodiscard]] const Things<Drawing>& drawings() const { return all<Drawing>(); }
    [[nodiscard]] const Things<FloorCall>& floor_calls() const { return all<FloorCall>(); }
    [[nodiscard]] const Things<Division>& divisions() const { return all<Division>(); }
    [[nodiscard]] const Things<Round>& rounds() const { return all<Round>(); }
    [[nodiscard]] const Things<Entry>& entries() const { return all<Entry>(); }
    [[nodiscard]] const Things<ClockTime>& clock_times() const { return all<ClockTime>(); }
    [[nodiscard]] const Things<Appeal>& appeals() const { return all<Appeal>(); }
    [[nodiscard]] const Things<Decision>& decisions() const { return all<Decision>(); }
    [[nodiscard]] const Things<Publication>& publications() const { return all<Publication>(); }

    [[nodiscard]] const Things<SigningKey>& keys() const { return all<SigningKey>(); }
    [[nodiscard]] const Things<Seal>& seals() const { return all<Seal>(); }
    [[nodiscard]] const Things<Cover>& covers() const { return all<Cover>(); }
    [[nodiscard]] const Things<CameraLens>& lenses() const { return all<CameraLens>(); }
    [[nodiscard]] const Things<CameraStand>& stands() const { return all<CameraStand>(); }

    [[nodiscard]] const Things<Tester>& testers() const { return all<Tester>(); }
    [[nodiscard]] const Things<RigState>& rigs() const { return all<RigState>(); }
    [[nodiscard]] const Things<Trial>& trials() const { return all<Trial>(); }
    [[nodiscard]] const Things<Closing>& closings() const { return all<Closing>(); }
    [[nodiscard]] const Things<Release>& releases() const { return all<Release>(); }
    [[nodiscard]] const Things<CoachNote>& notes() const { return all<CoachNote>(); }

    /// The stored value, or none.
    [[nodiscard]] std::optional<Entity> find(EntityKey key) const;

    /// What belongs to one run, ascending, without looking through the whole meet.
    [[nodiscard]] Listed<Mark> marks_of(RunId run) const { return {things_of(run).marks, marks()}; }
    [[nodiscard]] Listed<ContactStatement> contacts_of(RunId run) const {
        return {things_of(run).contacts, contacts()};
    }
    [[nodiscard]] Listed<WatchedSpan> watched_of(RunId run) const {
        return {things_of(run).watched, watched()};
    }
    [[nodiscard]] Listed<FloorCall> floor_calls_of(RunId run) const {
        return {things_of(run).floor_calls, floor_calls()};
    }
    [[nodiscard]] Listed<ClockTime> clock_times_of(RunId run) const {
        return {things_of(run).clock_times, clock_times()};
    }
    [[nodiscard]] Listed<Appeal> appeals_of(RunId run) const { return {things_of(run).appeals, appeals()}; }
    [[nodiscard]] Listed<Trial> trials_of(RunId run) const { return {things_of(run).trials, trials()}; }
    [[nodiscard]] Listed<CoachNote> notes_of(RunId run) const { return {things_of(run).notes, notes()}; }
    /// The runs of one entry, in the same way.
    [[nodiscard]] Listed<Run> runs_of(EntryId entry) const;

    /// Applies a change whole or not at all. Error bad_input when an edit's 'before' is not what is stored,
    /// when a thing that is named does not exist (a mark's run, a run's clip ...), when ids clash, or when a
    /// value makes no sense (check_values). What is named is looked up in the state after the whole change,
    /// so that a run and its marks can go in any order. A mark, contact or watched span must lie on footage
    /// of its run, and so must all that a mark points at and a coach's note; a clip has one stand for a
    /// frame, a station one closing for an item; a trial and a release name a rig of their station. The
    /// meet's own info and its rules always exist: their edits have both a before and an after.
    [[nodiscard]] base::Result<void> apply(const Change& change);

    /// The next id not yet used for this kind. Marks, contacts and watched spans share one sequence. Ids are
    /// never used twice, also after a removal.
    [[nodiscard]] std::int64_t next_id(Kind kind) const;

    /// The largest id ever used, by kind; contacts and watched spans stand at 0, since marks count for them.
    [[nodiscard]] const IdsByKind& last_used_ids() const { return last_used_id_; }

    /// The state that holds these things, as a file kept them; quickest where those of a kind come in the
    /// order of their ids. Errors as apply(), and when a thing's id is larger than the one said to be used
    /// last.
    [[nodiscard]] static base::Result<State> restored(std::vector<Entity> things,
                                                      const IdsByKind& last_used_ids);

    friend bool operator==(const State& a, const State& b);

  private:
    template <class T>
    [[nodiscard]] const Things<T>& all() const {
        return std::get<Things<T>>(things_);
    }
    [[nodiscard]] const RunThings& things_of(RunId run) const;
    void put(Entity entity);
    void take(EntityKey key);
    template <class T>
    void put_thing(T thing);
    template <class T>
    void note(const T& thing, bool there);
    [[nodiscard]] bool holds(EntityKey key) const;
    [[nodiscard]] bool holds_exactly(const Entity& entity) const;
    [[nodiscard]] bool id_is_taken(EntityKey key) const;
    [[nodiscard]] base::Result<void> step(const Edit& edit);
    [[nodiscard]] base::Result<void> check_all_links() const;
    [[nodiscard]] base::Result<void> check_links_after(const Change& change) const;

    MeetInfo info_;
    Rules rules_;
    std::tuple<Things<Athlete>, Things<BookRevision>, Things<Clip>, Things<Run>, Things<Mark>,
               Things<ContactStatement>, Things<WatchedSpan>, Things<Drawing>, Things<FloorCall>,
               Things<Division>, Things<Round>, Things<Entry>, Things<ClockTime>, Things<Appeal>,
               Things<Decision>, Things<Publication>, Things<SigningKey>, Things<Seal>, Things<Cover>,
               Things<CameraLens>, Things<CameraStand>, Things<Tester>, Things<RigState>, Things<Trial>,
               Things<Closing>, Things<Release>, Things<CoachNote>>
        things_;
    IdsByKind last_used_id_{};
    // Follow from things_; without an entry where there is nothing, so that equal states compare equal.
    std::unordered_map<RunId, RunThings> by_run_;
    std::unordered_map<EntryId, std::vector<RunId>> by_entry_;
};

}  // namespace plumbmark::meet
