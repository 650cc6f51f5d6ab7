#include "oracle/worlds.h"

#include <algorithm>
#include <queue>

#include "oracle/case_text.h"
#include "oracle/clocks.h"
#include "oracle/known.h"
#include "oracle/reach.h"
#include "oracle/state_table.h"
#include "oracle/stretches.h"

namespace plumbmark::oracle {
namespace {

// How the clocks of two clips stand to each other. That the second clip's frames never fall together with
// those of the first loses no world: its clock can be moved by less than the distance of any two moments
// without changing what comes first, since every bracket and span is open at its early end.
struct Alignment {
    bool any_order = false;   // the clips show order only: every order of their moments
    std::int64_t offset = 0;  // else the second clip stands this many units later, and a fraction of one
};

// The worlds for one alignment of the clips.
class Search {
  public:
    Search(const Case& review, const Reach& reach, Stretches& stretches, Known& known, Durations durations,
           Alignment alignment, const Effort& effort)
        : review_(review),
          reach_(reach),
          stretches_(stretches),
          known_(known),
          lengths_(has_durations(review.book) && durations.known),
          sometime_(has_durations(review.book) && !durations.known),
          alignment_(alignment),
          effort_(effort),
          judge_(review.book, durations, reach.parts, reach.tracked) {
        for (std::size_t i = 0; i < review.evidence.marks.size(); ++i) {
            for (const ruling::Happening& what : review.evidence.marks[i].alternatives) {
                if (std::holds_alternative<ruling::Control>(what)) controls_ |= std::uint32_t{1} << i;
            }
        }
    }

    void begin() {
        Node first;
        if (lengths_) {
            first.place.unit = static_cast<std::int16_t>(first_unit());
            first.place.second_fraction = stretches_.clips() > 1 ? 1 : 0;
        }
        add(first);
    }

    /// Follows one state of each stretch, the one that got furthest; adds its endings to what is known. So
    /// most endings are known soon, and once they are, most other worlds need no following. False when none
    /// is left.
    bool round() {
        bool more = false;
        for (std::size_t layer = 0; layer < open_.size(); ++layer) {
            if (open_[layer].empty()) continue;
            const int id = -open_[layer].top().second;
            open_[layer].pop();
            follow(id);
            more = true;
        }
        return more;
    }
    [[nodiscard]] std::size_t followed() const { return followed_; }

  private:
    // States
    // -------------------------------------------------------------------------------------------------------

    void add(const Node& node) {
        if (nothing_new_from(node.state)) return;
        const int id = table_.add(node);
        if (id < 0) return;
        const std::size_t layer = std::size_t{node.place.passed[0]} + node.place.passed[1];
        if (open_.size() <= layer) open_.resize(layer + 1);
        open_[layer].push({progress(node.state), -id});
    }

    // How far a world got; what is cleared, and what leads there, shows most about the worlds to come.
    [[nodiscard]] static int progress(const RunState& state) {
        int far = state.stage == Stage::before_start ? 0 : 50;
        for (const Ruled& ruled : state.ruled) {
            if (ruled.outcome == Outcome::cleared) far += 100;
            if (ruled.outcome == Outcome::failed) far += 60;
        }
        const auto bits = [](unsigned value) { return std::popcount(value); };
        return far + (state.set_off ? 20 : 0) + 8 * bits(state.used) + 8 * bits(state.crossed) +
               (state.finished ? 5 : 0);
    }

    [[nodiscard]] bool nothing_new_from(const RunState& state) const {
        return known_.nothing_new_from(state, (controls_ & ~state.marks_done) != 0);
    }

    // Lets go of what cannot matter any more, so that fewer states have to be told apart.
    void let_go(Node& node) {
        const Stretch& here = stretches_.at(node.place.passed);
        RunState& state = node.state;
        state.marks_done |= here.past_marks;
        if (state.stage == Stage::over) {
            state.contacts.forget(here.unwatched_pairs | ~reach_.said);
            state.sides.forget(here.unwatched_sides);
        }
        if (state.stage == Stage::all_decided) state.contacts.forget(~(reach_.said | reach_.finish_pairs));
        node.idle = 0;
        for (const Contact& contact : here.unwatched) {
            if (!contact.remembered || !may_be_either(state, contact)) continue;
            node.idle |= contact.bit;
            state.contacts.forget(contact.bit);
        }
    }

    // A contact that nobody watches, and whose coming and going now changes nothing but itself, may be
    // either.
    bool may_be_either(const RunState& state, const Contact& contact) {
        RunState off = state;
        RunState on = state;
        const std::size_t pair = PlainJudge::pair(contact.part, contact.surface);
        off.contacts.set(pair, false);
        on.contacts.set(pair, true);
        return only_leads_to(off, contact.touch, on) && only_leads_to(on, contact.release, off);
    }
    bool only_leads_to(const RunState& from, const ruling::Happening& what, const RunState& to) {
        led_to_.clear();
        judge_.happen(from, what, Durations::kUnit - 1, led_to_);
        return std::all_of(led_to_.begin(), led_to_.end(), [&](const RunState& s) { return s == to; });
    }

    // What can come next
    // -------------------------------------------------------------------------------------------------------

    void follow(int id) {
        Node node = table_[id];
        if (nothing_new_from(node.state)) return;
        ++followed_;
        let_go(node);
        if (!(node.state == table_[id].state)) {
            node.parent = id;
            node.what = nullptr;
            node.deadline = false;
            id = table_.add(node);
            if (id < 0) return;
        }
        if (stretches_.is_last(node.place.passed) && end_here(id, node)) return;
        pass_time(id, node);
        happen_in_gap(id, node);
    }

    // Notes how the world ends if nothing more happens; true when nothing more can happen.
    bool end_here(int id, const Node& node) {
        const bool all_done = (stretches_.certain & ~node.state.marks_done) == 0;
        if (!all_done || (sometime_ && clocks::running(node.state))) return false;
        PlainJudge::States ends;
        judge_.end_of_world(node.state, ends);
        for (const RunState& end : ends)
            record(end, id);
        return node.state.stage == Stage::over;
    }

    // Every event that can happen at the node's place; 'take' gets the state after it, with what led there.
    template <class Take>
    void each_event(const Node& at, const RunState& state, Step now, const Take& take) {
        const Stretch& here = stretches_.at(at.place.passed);
        if (state.stage != Stage::over) each_unseen(here, at.idle, state, now, take);
        for (std::size_t i = 0; i < review_.evidence.marks.size(); ++i) {
            if (((here.open_marks & ~state.marks_done) >> i & 1U) != 0)
                each_way_of(here, i, state, now, take);
        }
    }

    template <class Take>
    void each_way_of(const Stretch& here, std::size_t mark, const RunState& state, Step now,
                     const Take& take) {
        const std::vector<ruling::Happening>& alternatives = review_.evidence.marks[mark].alternatives;
        for (std::size_t k = 0; k < alternatives.size(); ++k) {
            if (((here.alternatives[mark] >> k) & 1U) == 0) continue;
            happened_.clear();
            judge_.happen(state, alternatives[k], now, happened_);
            for (RunState& next : happened_) {
                next.marks_done |= std::uint32_t{1} << mark;
                take(next, &alternatives[k], static_cast<int>(mark));
            }
        }
    }

    template <class Take>
    void each_unseen(const Stretch& here, std::uint64_t idle, const RunState& state, Step now,
                     const Take& take) {
        const auto offer = [&](const ruling::Happening& what) {
            happened_.clear();
            judge_.happen(state, what, now, happened_);
            for (const RunState& next : happened_)
                take(next, &what, -1);
        };
        for (const Contact& contact : here.unwatched) {
            if ((idle & contact.bit) != 0) continue;
            offer(contact.touch);
            if (contact.remembered) offer(contact.release);
        }
        for (const ruling::Happening& cross : here.unseen_crossings)
            offer(cross);
        if (!here.unseen_finish) return;
        happened_.clear();
        judge_.unseen_finish(state, now, happened_);
        for (const RunState& next : happened_)
            take(next, &kFinish, -1);
    }

    // Any number of events, one after the other, each at a fraction of its own.
    void happen_in_gap(int id, const Node& node) {
        Node from = node;
        from.parent = id;
        from.deadline = false;
        if (lengths_) clocks::make_room(from.place, from.state);
        const Step now = node.place.gap + 1;
        if (sometime_) come_due_sometime(from, now);
        each_event(from, from.state, now, [&](const RunState& next, const ruling::Happening* what, int mark) {
            take(from, next, now, what, mark);
        });
    }

    void take(Node node, const RunState& next, Step now, const ruling::Happening* what, int mark) {
        node.state = next;
        node.what = what;
        node.mark = mark;
        if (lengths_ || sometime_) clocks::renumber(node.place, node.state, now);
        add(node);
    }

    // With nothing known of lengths, a running deadline may come due at any time; but deadlines that run from
    // one event keep their order, and equal ones come due together.
    void come_due_sometime(Node node, Step now) {
        const RunState running = node.state;
        node.deadline = true;
        for (const auto deadline : clocks::deadlines()) {
            const Step due = running.*deadline;
            if (due == kNever) continue;
            RunState fires = running;
            bool first = true;
            for (const auto other : clocks::deadlines()) {
                const Step its = running.*other;
                const bool same_event = its != kNever && its % Durations::kUnit == due % Durations::kUnit;
                if (same_event && its < due) first = false;
                if (its == due) fires.*other = now;
            }
            if (!first) continue;
            PlainJudge::States before, after;
            judge_.due_before(fires, now, before);
            for (const RunState& state : before)
                judge_.due_after(state, now, after);
            for (const RunState& state : after)
                take(node, state, now, nullptr, -1);
        }
    }

    // Time passes
    // -------------------------------------------------------------------------------------------------------

    void pass_time(int id, Node node) {
        node.parent = id;
        node.what = nullptr;
        node.deadline = false;
        if (lengths_) return pass_instant(node);
        for (std::size_t clip = 0; clip < stretches_.clips(); ++clip) {
            if (may_pass_next(clip, node.place.passed)) pass_moments(node, {clip == 0, clip == 1});
        }
    }

    [[nodiscard]] bool may_pass_next(std::size_t clip, const Passed& passed) const {
        const auto left = [&](std::size_t c) { return passed[c] < stretches_.moments(c).size(); };
        if (!left(clip)) return false;
        if (alignment_.any_order || stretches_.clips() == 1 || !left(1 - clip)) return true;
        const bool second_first = next_moment(1, passed) < next_moment(0, passed);
        return (clip == 1) == second_first;
    }
    // The whole unit at or before the clip's next moment; the second clip's own fraction comes on top.
    [[nodiscard]] std::int64_t next_moment(std::size_t clip, const Passed& passed) const {
        if (clip >= stretches_.clips()) return kFar;
        const std::vector<Moment>& moments = stretches_.moments(clip);
        if (passed[clip] >= moments.size()) return kFar;
        return moments[passed[clip]].at + (clip == 1 ? alignment_.offset : 0);
    }

    // Passes the next moment of these clips, where the state agrees with what is said of it.
    void pass_moments(Node node, const std::array<bool, kMostClips>& clips) {
        for (std::size_t clip = 0; clip < stretches_.clips(); ++clip) {
            if (!clips[clip]) continue;
            const Moment& moment = stretches_.moments(clip)[node.place.passed[clip]];
            if (!Stretches::pass(moment, node.state)) return;
            ++node.place.passed[clip];
        }
        const std::uint32_t missed = stretches_.at(node.place.passed).past_marks & ~node.state.marks_done;
        if ((missed & stretches_.certain) != 0) return;
        if (stretches_.is_last(node.place.passed)) node.place.unit = 0;
        add(node);
    }

    // Before the first moment and after the last one, units are all alike and need not be told apart.
    [[nodiscard]] std::int64_t first_unit() const {
        const std::int64_t first = std::min(next_moment(0, {}), next_moment(1, {}));
        return first == kFar ? 0 : first - 1;
    }

    // With lengths of time: on to the next fraction in use, or to the next whole unit.
    void pass_instant(Node node) {
        const unsigned later = clocks::in_use(node.place, node.state) >> (node.place.gap + 1U);
        if (later != 0) return stand_at(node, node.place.gap + 1);
        clocks::next_unit(node.state);
        node.place.gap = 0;
        const bool before_all = node.place.passed == Passed{};
        if (before_all) stand_at(node, 0);
        if (stretches_.is_last(node.place.passed)) {
            if (!before_all) stand_at(node, 0);
            return;
        }
        ++node.place.unit;
        stand_at(node, 0);
    }

    // One instant: deadlines, at most one event, deadlines again, and what the clips say of it.
    void stand_at(const Node& node, Step now) {
        const Passed& passed = node.place.passed;
        const bool first_clip = now == 0 && next_moment(0, passed) == node.place.unit;
        const bool second_clip = now > 0 && now == node.place.second_fraction && stretches_.clips() > 1 &&
                                 next_moment(1, passed) == node.place.unit;
        const auto leave = [&](const RunState& state, const ruling::Happening* what, int mark) {
            left_.clear();
            judge_.due_after(state, now, left_);
            for (const RunState& each : left_) {
                Node next = node;
                next.state = each;
                next.what = what;
                next.mark = mark;
                next.deadline = true;
                clocks::renumber(next.place, next.state, now);
                pass_moments(next, {first_clip, second_clip});
            }
        };
        PlainJudge::States before;
        judge_.due_before(node.state, now, before);
        for (const RunState& state : before) {
            leave(state, nullptr, -1);
            each_event(node, state, now, [&](const RunState& next, const ruling::Happening* what, int mark) {
                // Where no deadline runs, an instant just before does as well.
                if (clocks::running(node.state) || clocks::running(next)) leave(next, what, mark);
            });
        }
    }

    // Endings
    // -------------------------------------------------------------------------------------------------------

    void record(const RunState& state, int id) {
        const Ending ending{state.ruled, state.finished};
        if (!known_.has(ending)) known_.add(ending, effort_.tell ? story(id) : "");
    }

    [[nodiscard]] std::string story(int id) const {
        std::string told;
        for (; id >= 0; id = table_[id].parent) {
            const Node& node = table_[id];
            std::string line;
            if (node.what != nullptr && node.mark >= 0)
                line = "mark " + std::to_string(review_.evidence.marks[at(node.mark)].id.value) + ": ";
            if (node.what != nullptr && node.mark < 0) line = "unseen: ";
            if (node.what != nullptr) line += words(review_.book, *node.what);
            if (line.empty() && node.deadline && node.parent >= 0) line = deadline_words(node);
            if (!line.empty()) told = "    " + when(node) + line + "\n" + told;
        }
        return told;
    }
    [[nodiscard]] std::string deadline_words(const Node& node) const {
        return table_[node.parent].state.ruled == node.state.ruled ? "" : "a deadline comes due";
    }
    // After which named moments of each clip.
    [[nodiscard]] std::string when(const Node& node) const {
        std::string text;
        for (std::size_t clip = 0; clip < stretches_.clips(); ++clip) {
            const std::size_t passed = node.place.passed[clip];
            text += clip == 0 ? "after " : " and ";
            text += passed == 0 ? "-" : std::to_string(stretches_.moments(clip)[passed - 1].at);
        }
        return text + "  ";
    }
    static std::size_t at(int index) { return static_cast<std::size_t>(index); }

    static constexpr std::int64_t kFar = 1'000'000'000;
    static inline const ruling::Happening kFinish = ruling::Signal{ruling::SignalKind::finish_registers};

    const Case& review_;
    const Reach& reach_;
    Stretches& stretches_;
    Known& known_;
    bool lengths_;   // lengths of time matter and are known
    bool sometime_;  // they matter and are not known
    Alignment alignment_;
    const Effort& effort_;
    PlainJudge judge_;
    std::uint32_t controls_ = 0;
    StateTable table_;
    std::size_t followed_ = 0;
    std::vector<std::priority_queue<std::pair<int, int>>> open_;  // by stretch: to be followed
    PlainJudge::States led_to_;                                   // room for what one step leads to
    PlainJudge::States happened_;
    PlainJudge::States left_;
};

// All lengths of time that the course names, one after the other, in whole units.
std::int64_t all_lengths(const Case& review) {
    std::int64_t sum = 0;
    const auto add = [&](const std::optional<base::Duration>& length) {
        if (length) sum += length->ns / review.unit_ns + 1;
    };
    add(review.book.run_cap);
    for (const course::Station& station : review.book.stations) {
        add(station.cap);
        add(station.rest_limit);
        add(station.landing.hold);
    }
    return sum;
}

// Every order in which the moments of two clips can come.
std::vector<Alignment> alignments(const Case& review, const Stretches& stretches, bool lengths) {
    const std::vector<ruling::ClipFacts>& clips = review.evidence.clips;
    if (stretches.clips() == 1) return {{}};
    const bool loose = std::any_of(clips.begin(), clips.end(),
                                   [](const ruling::ClipFacts& clip) { return !clip.durations_known; });
    if (loose) return {{true, 0}};
    // Offsets at which some moment of one clip meets one of the other: just after each, and before the first,
    // the order is another.
    std::set<std::int64_t> offsets;
    for (const Moment& first : stretches.moments(0)) {
        for (const Moment& second : stretches.moments(1))
            offsets.insert(first.at - second.at);
    }
    if (offsets.empty()) return {{}};
    offsets.insert(*offsets.begin() - 1);
    if (lengths) {
        // Between two clips that do not overlap every deadline there is may come due, one after the other.
        const std::int64_t longest = all_lengths(review);
        const std::int64_t last = *offsets.rbegin() + longest;
        for (std::int64_t each = *offsets.begin() - longest; each <= last; ++each)
            offsets.insert(each);
    }
    std::vector<Alignment> all;
    for (const std::int64_t offset : offsets) {
        if (stretches.brackets_meet(static_cast<double>(offset) + 0.5)) all.push_back({false, offset});
    }
    return all;
}

}  // namespace

bool has_durations(const course::CourseBook& book) {
    return book.run_cap ||
           std::any_of(book.stations.begin(), book.stations.end(),
                       [](const course::Station& s) { return s.cap || s.rest_limit || s.landing.hold; });
}

Answer enumerate(const Case& review, const Effort& effort) {
    const Reach reach(review);
    Stretches stretches(review, reach);
    Known known(review);
    Durations durations{review.unit_ns, true};
    for (const ruling::ClipFacts& clip : review.evidence.clips)
        durations.known = durations.known && clip.durations_known;
    const bool lengths = has_durations(review.book) && durations.known;
    // Of all alignments in turn, since what one of them shows spares the others work.
    std::vector<Search> searches;
    for (const Alignment& alignment : alignments(review, stretches, lengths))
        searches.emplace_back(review, reach, stretches, known, durations, alignment, effort).begin();
    Answer answer;
    for (bool more = true; more && !answer.too_large;) {
        more = false;
        answer.states = 0;
        for (Search& search : searches) {
            more = search.round() || more;
            answer.states += search.followed();
        }
        answer.too_large = answer.states > effort.most_states;
    }
    if (!answer.too_large) known.answer(answer);
    return answer;
}

}  // namespace plumbmark::oracle
