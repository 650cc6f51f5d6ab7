#include "ruling/internal/replay.h"

#include <algorithm>

#include "ruling/internal/foresight.h"

namespace plumbmark::ruling {
namespace {

struct Assumed {
    PairBits on;
    SideBits past;
};

/// The contacts, and parts past their plane, that the world rests on and that nothing in it tells.
Assumed assumed_in(const Roles& roles, const std::vector<Turn>& turns) {
    Assumed assumed;
    PairBits made;
    SideBits crossed;
    for (const Turn& turn : turns) {
        const Step& step = turn.step;
        const bool event = step.kind == Step::Kind::mark || step.kind == Step::Kind::unseen;
        if (event && (step.event.kind == EventKind::touch || step.event.kind == EventKind::release))
            made.set(roles.pair(step.event.part, step.event.surface));
        if (event && step.event.kind == EventKind::cross) {
            for (std::size_t c = 0; c < kCrossersCount; ++c)
                crossed.set(roles.side(c, step.event.plane));
        }
        // What a statement fixes was said, not assumed.
        if (step.kind == Step::Kind::moment) made |= turn.after.on;
        assumed.on |= turn.after.on & ~made;
        assumed.past |= turn.after.past & ~crossed;
    }
    // A later release says that the contact was there.
    for (const Turn& turn : turns) {
        const Event& event = turn.step.event;
        if (turn.step.kind == Step::Kind::mark && event.kind == EventKind::release)
            assumed.on.reset(roles.pair(event.part, event.surface));
    }
    return assumed;
}

class Replay {
  public:
    explicit Replay(const Decided& decided) : roles_(*decided.roles), prepared_(*decided.prepared) {}

    std::vector<Turn> tell(const std::vector<Search::Passage>& passages) {
        WorldState before;
        for (const Search::Passage& passage : passages) {
            if (passage.step->kind != Step::Kind::end) {
                std::optional<Turn> turn = best_turn(passage, before);
                if (turn) add(*turn, *passage.passed);
            }
            before = *passage.after;
        }
        tell_assumed();
        return std::move(turns_);
    }

  private:
    /// What is known of a pair just before the turn, as its judge took it.
    struct Was {
        PairBits known, on;
        SideBits side_known, past;
    };

    void act(Judge& judge, const Step& step, const Coverage& before, const Coverage& after) const {
        switch (step.kind) {
            case Step::Kind::mark:
            case Step::Kind::unseen:
                return step.unseen_finish ? judge.unseen_finish() : judge.act(step.event);
            case Step::Kind::deadline:
                return judge.come_due(step.deadline);
            case Step::Kind::moment: {
                const PairBits pairs = after.pairs & ~before.pairs & ~prepared_.named_pairs;
                const SideBits sides = after.sides & ~before.sides & ~prepared_.named_sides;
                if (pairs.any() || sides.any()) judge.vouch(pairs, sides);
                const Moment& moment =
                    prepared_
                        .moments[static_cast<std::size_t>(step.clip)][static_cast<std::size_t>(step.moment)];
                if (moment.statement < 0) return;
                const auto& said = prepared_.statements[static_cast<std::size_t>(moment.statement)];
                return judge.state_contact(said.part, said.surface, said.on);
            }
            default:
                return;
        }
    }

    /// Of the ways in which this step leads to the world that the search kept, the one that implies the
    /// fewest changes nobody saw.
    std::optional<Turn> best_turn(const Search::Passage& passage, const WorldState& before) {
        const Step& step = *passage.step;
        // As the search took it: what was watched, and what later marks told.
        const Coverage covered = coverage_at(prepared_, *passage.passed);
        const Foresight ahead(prepared_.foresight, *passage.done, *passage.passed);
        const Named named = named_from(prepared_, *passage.done, *passage.passed);
        const Watch watch{&covered.pairs, &ahead, &named.pairs};
        const Coverage after = opened_by(step);
        std::optional<Turn> best;
        std::size_t fewest = 0;
        for_every_choice([&](Choices& choices) {
            Judge judge(roles_, before, choices, step.kind == Step::Kind::mark ? step.mark : std::int16_t{-1},
                        watch);
            act(judge, step, covered, after);
            if (choices.refused() || !leads_to(judge.after(), *passage.after)) return;
            if (!std::ranges::equal(judge.decided(), passage.facts)) return;
            Turn turn{step,
                      before,
                      judge.after(),
                      judge.clocks().start,
                      {passage.facts.begin(), passage.facts.end()}};
            const std::size_t changes = changes_of(was_before(turn)).size();
            if (best && changes >= fewest) return;
            best = turn;
            fewest = changes;
        });
        return best;
    }
    Coverage opened_by(const Step& step) const {
        if (step.kind != Step::Kind::moment) return {};
        return prepared_.moments[static_cast<std::size_t>(step.clip)][static_cast<std::size_t>(step.moment)]
            .after;
    }

    /// The search forgets what nobody watches; all else must be the same.
    static bool leads_to(const WorldState& full, const WorldState& kept) {
        if ((kept.on_known & ~full.on_known).any() || (kept.past_known & ~full.past_known).any())
            return false;
        WorldState masked = full;
        masked.on_known = kept.on_known;
        masked.on = full.on & kept.on_known;
        masked.past_known = kept.past_known;
        masked.past = full.past & kept.past_known;
        return masked == kept;
    }

    Was was_before(const Turn& turn) const {
        Was was{turn.after.on_known, turn.after.on, turn.after.past_known, turn.after.past};
        const Step& step = turn.step;
        if (step.kind != Step::Kind::mark && step.kind != Step::Kind::unseen) return was;
        const Event& event = step.event;
        if (event.kind == EventKind::touch || event.kind == EventKind::release) {
            const PairIndex pair = roles_.pair(event.part, event.surface);
            if (was.known[pair]) was.on.set(pair, event.kind == EventKind::release);
        }
        if (event.kind == EventKind::cross) {
            // Sides move together in a crossing; only the crosser's own is compared.
            for (std::size_t c = 0; c < kCrossersCount; ++c)
                was.side_known.reset(roles_.side(c, event.plane));
            const SideIndex side = roles_.side(event.crosser, event.plane);
            was.side_known.set(side);
            was.past[side] = event.direction == Direction::back;
        }
        return was;
    }

    std::vector<Step> changes_of(const Was& was) const {
        std::vector<Step> changes;
        const PairBits changed = was.known & known_ & (was.on ^ on_);
        for (std::size_t p = 0; changed.any() && p < kPartsCount * roles_.class_count(); ++p) {
            if (!changed[p]) continue;
            Event event;
            event.kind = was.on[p] ? EventKind::touch : EventKind::release;
            event.part = part_of(p);
            event.surface = class_of_pair(p);
            changes.push_back(unseen(event));
        }
        const SideBits moved = was.side_known & side_known_ & (was.past ^ past_);
        for (std::size_t s = 0; moved.any() && s < kCrossersCount * roles_.plane_count(); ++s) {
            if (!moved[s]) continue;
            Event event;
            event.kind = EventKind::cross;
            event.crosser = static_cast<std::uint8_t>(s % kCrossersCount);
            event.plane = static_cast<std::uint8_t>(s / kCrossersCount);
            event.direction = was.past[s] ? Direction::forward : Direction::back;
            changes.push_back(unseen(event));
        }
        return changes;
    }
    static Step unseen(const Event& event) {
        Step step;
        step.kind = Step::Kind::unseen;
        step.event = event;
        return step;
    }

    bool covers(const Coverage& coverage, const Event& event) const {
        if (event.kind == EventKind::cross) return coverage.sides[roles_.side(event.crosser, event.plane)];
        return coverage.pairs[roles_.pair(event.part, event.surface)];
    }

    /// What was so from the first although nothing tells it, and a mark that this world leaves out would
    /// have.
    void tell_assumed() {
        const Assumed assumed = assumed_in(roles_, turns_);
        const PairBits on = assumed.on & prepared_.named_pairs;
        for (std::size_t p = on._Find_first(); p < on.size(); p = on._Find_next(p)) {
            Event event;
            event.part = part_of(p);
            event.surface = class_of_pair(p);
            turns_.insert(turns_.begin(), Turn{unseen(event), {}, {}, 0, {}});
        }
    }

    /// As late as nobody watches it and it changes nothing but the contact itself.
    void put_in(const Step& change) {
        std::size_t latest = turns_.size();
        while (latest > 0 && covers(covered_[latest - 1], change.event))
            --latest;
        std::size_t place = latest;
        while (place > 0 && !is_harmless(place, change.event) && !covers(covered_[place - 1], change.event) &&
               !knows(turns_[place - 1].after, change.event))
            --place;
        if (!is_harmless(place, change.event)) place = latest;
        const WorldState& then = place > 0 ? turns_[place - 1].after : WorldState{};
        turns_.insert(turns_.begin() + static_cast<std::ptrdiff_t>(place), Turn{change, then, then, 0, {}});
        covered_.insert(covered_.begin() + static_cast<std::ptrdiff_t>(place),
                        place > 0 ? covered_[place - 1] : Coverage{});
    }

    /// Whether the world knew then what the event changes: it cannot have been earlier.
    [[nodiscard]] bool knows(const WorldState& world, const Event& event) const {
        if (event.kind == EventKind::cross) return world.past_known[roles_.side(event.crosser, event.plane)];
        return world.on_known[roles_.pair(event.part, event.surface)];
    }

    [[nodiscard]] bool is_harmless(std::size_t place, const Event& event) const {
        const WorldState before = place > 0 ? turns_[place - 1].after : WorldState{};
        bool harmless = false;
        for_every_choice([&](Choices& choices) {
            Judge judge(roles_, before, choices, -1);
            judge.act(event);
            if (choices.refused() || !judge.decided().empty()) return;
            WorldState after = judge.after();
            after.on = before.on;
            after.on_known = before.on_known;
            after.past = before.past;
            after.past_known = before.past_known;
            harmless |= after == before;
        });
        return harmless;
    }

    void add(const Turn& turn, Passed passed) {
        for (const Step& change : changes_of(was_before(turn)))
            put_in(change);
        if (turn.step.kind == Step::Kind::moment) ++passed[static_cast<std::size_t>(turn.step.clip)];
        turns_.push_back(turn);
        covered_.push_back(coverage_at(prepared_, passed));
        known_ |= turn.after.on_known;
        on_ = (on_ & ~turn.after.on_known) | (turn.after.on & turn.after.on_known);
        side_known_ |= turn.after.past_known;
        past_ = (past_ & ~turn.after.past_known) | (turn.after.past & turn.after.past_known);
    }

    const Roles& roles_;
    const Prepared& prepared_;
    std::vector<Turn> turns_;
    std::vector<Coverage> covered_;  ///< after each turn
    PairBits known_, on_;            ///< the last that was known of each contact
    SideBits side_known_, past_;
};

}  // namespace

std::vector<Turn> replay(const Decided& decided, const Ending& ending) {
    return Replay(decided).tell(decided.search->path(ending));
}

bool decides(const Turn& turn, std::size_t station) {
    return std::any_of(turn.facts.begin(), turn.facts.end(), [station](const Fact& fact) {
        return fact.station == station &&
               (fact.decision.outcome == Outcome::cleared || fact.decision.outcome == Outcome::failed);
    });
}

std::optional<std::size_t> deciding_turn(const std::vector<Turn>& turns, std::size_t station) {
    for (std::size_t i = 0; i < turns.size(); ++i) {
        if (decides(turns[i], station)) return i;
    }
    return std::nullopt;
}

std::optional<std::size_t> beginning_turn(const std::vector<Turn>& turns, std::size_t station) {
    for (std::size_t i = 0; i < turns.size(); ++i) {
        const WorldState& world = turns[i].after;
        if (world.phase == Phase::under_way && world.at == station) return i;
        if (decides(turns[i], station)) return i;
    }
    return std::nullopt;
}

std::size_t strangeness(const Roles& roles, const std::vector<Turn>& turns) {
    const auto unseen = std::count_if(turns.begin(), turns.end(),
                                      [](const Turn& turn) { return turn.step.kind == Step::Kind::unseen; });
    const Assumed assumed = assumed_in(roles, turns);
    return static_cast<std::size_t>(unseen) + 2 * (assumed.on.count() + assumed.past.count());
}

Happening happening_of(const Roles& roles, const Event& event) {
    switch (event.kind) {
        case EventKind::touch:
            return Touch{event.part, roles.surface_of(event.surface), event.grade};
        case EventKind::release:
            return Release{event.part, roles.surface_of(event.surface)};
        case EventKind::cross: {
            std::optional<course::Part> part;
            if (event.crosser != kWhole) part = static_cast<course::Part>(event.crosser);
            return Cross{part, course::PlaneId{static_cast<std::int64_t>(event.plane)}, event.direction};
        }
        case EventKind::signal:
            return Signal{event.signal};
        case EventKind::infraction:
            return Infraction{event.infraction};
        case EventKind::control:
            return Control{};
    }
    return Control{};
}

}  // namespace plumbmark::ruling
