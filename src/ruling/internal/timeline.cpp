#include "ruling/internal/timeline.h"

#include <algorithm>

#include "ruling/internal/contrast.h"
#include "ruling/internal/judge.h"

namespace plumbmark::ruling {
namespace {

constexpr std::int64_t kAFrame = 33'000'000;  // how far from its only bound an event is told to have been

/// The network of one world's times. Whole nanoseconds: 'less than n' is 'at most n - 1'.
class Times {
  public:
    Times(const Inquiry& inquiry, const std::vector<Turn>& turns)
        : inquiry_(inquiry),
          turns_(turns),
          prepared_(*inquiry.decided.prepared),
          zone_(first_event() + turns.size() + due_count(turns)) {}

    std::optional<std::vector<Placed>> place() {
        if (!loose_moments() || !order() || !deadlines() || !brackets()) return std::nullopt;
        std::vector<Placed> places;
        settle_clocks();
        std::int64_t previous = 0;
        std::size_t clip = 0;
        for (std::size_t i = 0; i < turns_.size(); ++i) {
            clip = clip_of(i, clip);
            Placed placed;
            placed.clip = clip;
            previous = settle(event(i), previous);
            if (prepared_.loose[clip].empty())
                on_one_clock(placed, i, prepared_.clock_of[clip], previous);
            else
                between_moments(placed, i, prepared_.loose[clip], previous);
            places.push_back(placed);
        }
        return places;
    }

  private:
    static std::size_t due_count(const std::vector<Turn>& turns) {
        std::size_t count = 0;
        for (const Turn& turn : turns) {
            for (const Deadline deadline : kDeadlines)
                count += (turn.started & deadline) ? 1 : 0;
        }
        return count;
    }
    [[nodiscard]] static Zone::Node offset(std::size_t clock) { return clock; }
    [[nodiscard]] std::size_t first_event() const {
        return 1 + (prepared_.clocks > 0 ? prepared_.clocks - 1 : 0);
    }
    [[nodiscard]] Zone::Node event(std::size_t turn) const { return first_event() + turn; }

    // The first clock is the one that all others are told by.
    void settle_clocks() {
        std::int64_t before = 0;
        for (std::size_t clip = 0; clip < prepared_.clips; ++clip) {
            const std::vector<LooseMoment>& moments = prepared_.loose[clip];
            if (moments.empty() && prepared_.clock_of[clip] != 0)
                before = settle(offset(prepared_.clock_of[clip]), 0);
            for (const LooseMoment& moment : moments) {
                if (moment.clock != 0) before = settle(offset(moment.clock), before);
            }
        }
    }

    void on_one_clock(Placed& placed, std::size_t turn, std::size_t clock, std::int64_t value) const {
        const Bound high = first_.bound(event(turn), offset(clock));
        const Bound low = first_.bound(offset(clock), event(turn));
        if (high != kNoBound) placed.latest = bound_value(high);
        if (low != kNoBound) placed.earliest = -bound_value(low);
        placed.at = value + bound_value(zone_.bound(0, offset(clock)));
    }

    /// On a clip of which only the order of its moments is known: the moments next to the event say where it
    /// was, and it is told in the same share of the way from one to the other as in this world.
    void between_moments(Placed& placed, std::size_t turn, const std::vector<LooseMoment>& moments,
                         std::int64_t value) const {
        std::optional<std::pair<std::int64_t, std::int64_t>> before, after;  // value, time in the file
        for (const LooseMoment& moment : moments) {
            const Bound high = first_.bound(event(turn), offset(moment.clock));
            const Bound low = first_.bound(offset(moment.clock), event(turn));
            if (high <= at_most(0) && !placed.latest) placed.latest = moment.time;
            if (low <= at_most(0)) placed.earliest = moment.time + (low <= at_most(-1) ? 1 : 0);
            const std::int64_t then = -bound_value(zone_.bound(0, offset(moment.clock)));
            if (then <= value) before = {then, moment.time};
            if (then >= value && !after) after = {then, moment.time};
        }
        if (before && after && after->first > before->first) {
            const double share = static_cast<double>(value - before->first) /
                                 static_cast<double>(after->first - before->first);
            placed.at = before->second + static_cast<std::int64_t>(
                                             share * static_cast<double>(after->second - before->second));
        } else if (before) {
            placed.at = before->second + (before->first == value ? 0 : kAFrame);
        } else if (after) {
            placed.at = after->second - (after->first == value ? 0 : kAFrame);
        }
    }

    bool loose_moments() {
        for (const std::vector<LooseMoment>& moments : prepared_.loose) {
            for (std::size_t i = 1; i < moments.size(); ++i) {
                if (!at_most_apart(offset(moments[i - 1].clock), offset(moments[i].clock), -1)) return false;
            }
        }
        return true;
    }
    bool at_most_apart(Zone::Node i, Zone::Node j, std::int64_t ns) {
        return zone_.tighten(i, j, at_most(ns));
    }
    [[nodiscard]] bool in_time() const { return inquiry_.book.at_cap_is_in_time; }
    /// Whether an event of the same instant comes before this deadline.
    [[nodiscard]] bool yields(Deadline deadline) const { return deadline != kHold && in_time(); }

    [[nodiscard]] std::size_t clip_of(std::size_t turn, std::size_t before) const {
        const Step& step = turns_[turn].step;
        if (step.kind == Step::Kind::moment) return static_cast<std::size_t>(step.clip);
        if (step.kind != Step::Kind::mark) return before;
        const Mark& mark = inquiry_.evidence.marks[static_cast<std::size_t>(step.mark)];
        return mark.sightings.empty() ? before : static_cast<std::size_t>(mark.sightings.front().clip.value);
    }

    bool order() {
        for (std::size_t i = 1; i < turns_.size(); ++i) {
            const Step& a = turns_[i - 1].step;
            const Step& b = turns_[i].step;
            bool together = false;
            if (a.kind == Step::Kind::deadline) together |= !yields(a.deadline);
            if (b.kind == Step::Kind::deadline)
                together |= yields(b.deadline) || a.kind == Step::Kind::moment;
            if (b.kind == Step::Kind::moment) together = true;
            if (a.kind == Step::Kind::deadline && b.kind == Step::Kind::deadline) together = true;
            if (!at_most_apart(event(i - 1), event(i), together ? 0 : -1)) return false;
        }
        return true;
    }

    bool brackets() {
        for (std::size_t i = 0; i < turns_.size(); ++i) {
            const Step& step = turns_[i].step;
            if (step.kind == Step::Kind::moment) {
                const Instant at =
                    prepared_
                        .moments[static_cast<std::size_t>(step.clip)][static_cast<std::size_t>(step.moment)]
                        .at;
                if (!at_most_apart(event(i), offset(at.clock), at.time) ||
                    !at_most_apart(offset(at.clock), event(i), -at.time))
                    return false;
            }
            if (step.kind != Step::Kind::mark) continue;
            for (const Interval& seen : prepared_.marks[static_cast<std::size_t>(step.mark)].intervals) {
                const Instant until = seen.until_at, after = seen.after_at;
                if (seen.until && !at_most_apart(event(i), offset(until.clock), until.time)) return false;
                if (seen.after && !at_most_apart(offset(after.clock), event(i), -after.time - 1))
                    return false;
            }
        }
        if (!shared_moments()) return false;
        first_ = zone_;
        return true;
    }
    /// What no turn is about, and still holds the clips' clocks together.
    bool shared_moments() {
        for (const PreparedMark& mark : prepared_.marks) {
            if (!mark.only_ties) continue;
            for (const Interval& a : mark.intervals) {
                for (const Interval& b : mark.intervals) {
                    if (!a.after || !b.until) continue;
                    const Instant after = a.after_at, until = b.until_at;
                    if (!at_most_apart(offset(after.clock), offset(until.clock), until.time - after.time - 1))
                        return false;
                }
            }
        }
        return true;
    }

    bool deadlines() {
        Zone::Node due = event(turns_.size());
        for (std::size_t i = 0; i < turns_.size(); ++i) {
            for (const Deadline deadline : kDeadlines) {
                if (!(turns_[i].started & deadline)) continue;
                if (!runs_from(i, deadline, due++)) return false;
            }
        }
        return true;
    }
    bool runs_from(std::size_t from, Deadline deadline, Zone::Node due) {
        const std::int64_t length = length_of(*inquiry_.decided.roles, deadline, turns_[from].after).ns;
        const std::int64_t drift = drift_over(length, inquiry_.settings);
        const bool known = prepared_.durations_known;
        if (!at_most_apart(event(from), due, known ? -(length - drift) : 0)) return false;
        if (known && !at_most_apart(due, event(from), length + drift)) return false;
        for (std::size_t i = from + 1; i < turns_.size(); ++i) {
            const Step& step = turns_[i].step;
            if (step.kind == Step::Kind::deadline && step.deadline == deadline)
                return at_most_apart(event(i), due, 0) && at_most_apart(due, event(i), 0);
            if (turns_[i].after.running & deadline) continue;
            const bool together =
                yields(deadline) || step.kind == Step::Kind::moment || step.kind == Step::Kind::deadline;
            return at_most_apart(event(i), due, together ? 0 : -1);
        }
        return true;
    }

    /// Gives the node a value in the middle of what it can have, on the first clip's clock.
    std::int64_t settle(Zone::Node node, std::int64_t previous) {
        const Bound high = zone_.bound(node, 0);
        const Bound low = zone_.bound(0, node);
        std::int64_t value = previous;
        if (high != kNoBound && low != kNoBound)
            value = -bound_value(low) + (bound_value(high) + bound_value(low)) / 2;
        else if (high != kNoBound)
            value = bound_value(high) - kAFrame;
        else if (low != kNoBound)
            value = -bound_value(low) + kAFrame;
        const bool fits = at_most_apart(node, 0, value) && at_most_apart(0, node, -value);
        return fits ? value : previous;
    }

    const Inquiry& inquiry_;
    const std::vector<Turn>& turns_;
    const Prepared& prepared_;
    Zone zone_;
    Zone first_{1};  ///< before any value was settled
};

bool is_told(const Turn& turn) {
    return turn.step.kind == Step::Kind::mark || turn.step.kind == Step::Kind::unseen;
}

World put_into_words(const Inquiry& inquiry, std::size_t station, const Example& example) {
    World world;
    for (std::size_t i = 0; i < example.turns.size(); ++i) {
        const Turn& turn = example.turns[i];
        if (!is_told(turn)) continue;
        WorldEvent event;
        event.unseen = turn.step.kind == Step::Kind::unseen;
        if (!event.unseen) event.mark = inquiry.evidence.marks[static_cast<std::size_t>(turn.step.mark)].id;
        event.what = *what_happened(inquiry, turn);
        event.clip = ClipIndex{static_cast<std::int64_t>(example.places[i].clip)};
        event.at = base::Time{example.places[i].at};
        event.sentence = inquiry.words.tell(event.what, Form::present);
        world.events.push_back(std::move(event));
    }
    const Decision& decision = example.ending->stations[station];
    world.verdict = decision.outcome == Outcome::cleared  ? Verdict::clear
                    : decision.outcome == Outcome::failed ? Verdict::fail
                                                          : Verdict::not_shown;
    for (unsigned c = 0; c <= static_cast<unsigned>(Clause::run_ended); ++c) {
        if (decision.outcome != Outcome::failed || !(decision.clauses >> c & 1U)) continue;
        world.clause = static_cast<Clause>(c);
        break;
    }
    return world;
}

}  // namespace

std::optional<std::vector<Placed>> place(const Inquiry& inquiry, const std::vector<Turn>& turns) {
    return Times(inquiry, turns).place();
}

std::optional<Happening> what_happened(const Inquiry& inquiry, const Turn& turn) {
    if (!is_told(turn)) return std::nullopt;
    const Roles& roles = *inquiry.decided.roles;
    if (turn.step.kind == Step::Kind::unseen) return happening_of(roles, turn.step.event);
    // The mark's own words: a class of surfaces may stand for several.
    const auto mark = static_cast<std::size_t>(turn.step.mark);
    const std::vector<Event>& ways = inquiry.decided.prepared->marks[mark].alternatives;
    const auto same = std::find(ways.begin(), ways.end(), turn.step.event);
    return inquiry.evidence.marks[mark].alternatives[static_cast<std::size_t>(same - ways.begin())];
}

std::optional<Example> simplest_example(const Inquiry& inquiry, std::size_t station, Outcome outcome) {
    std::optional<Example> best;
    std::size_t least = 0;
    for (const Ending& ending : inquiry.decided.endings) {
        if (ending.stations[station].outcome != outcome) continue;
        std::vector<Turn> turns = replay(inquiry.decided, ending);
        const std::size_t strange = strangeness(*inquiry.decided.roles, turns);
        if (best && strange >= least) continue;
        std::optional<std::vector<Placed>> places = place(inquiry, turns);
        if (!places) continue;
        const std::optional<std::size_t> decided = deciding_turn(turns, station);
        best = Example{&ending, std::move(turns), std::move(*places), decided};
        least = strange;
    }
    return best;
}

std::vector<World> worlds_of(const Inquiry& inquiry, std::size_t station) {
    std::vector<Example> examples;
    for (const Outcome outcome : {Outcome::cleared, Outcome::failed, Outcome::open}) {
        if (std::optional<Example> example = simplest_example(inquiry, station, outcome))
            examples.push_back(std::move(*example));
    }
    std::vector<World> worlds;
    for (std::size_t i = 0; i < examples.size(); ++i) {
        worlds.push_back(put_into_words(inquiry, station, examples[i]));
        const Example* other = examples.size() > 1 ? &examples[i == 0 ? 1 : 0] : nullptr;
        contrast(inquiry, station, examples[i], other, worlds.back());
    }
    return worlds;
}

}  // namespace plumbmark::ruling
