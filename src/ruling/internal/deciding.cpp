#include "ruling/internal/deciding.h"

#include <algorithm>

#include "base/catalogue.h"
#include "ruling/internal/contrast.h"

namespace plumbmark::ruling {
namespace {

/// Whether a ends after b, where a clip shows both; otherwise by their order in the review.
bool ends_later(const Mark& a, const Mark& b) {
    for (const Sighting& seen : a.sightings) {
        for (const Sighting& other : b.sightings) {
            if (seen.clip != other.clip) continue;
            if (!seen.until || !other.until) return !seen.until && other.until;
            return *seen.until > *other.until;
        }
    }
    return true;
}

class Telling {
  public:
    Telling(const Inquiry& inquiry, std::size_t station)
        : inquiry_(inquiry),
          words_(inquiry.words),
          definition_(inquiry.book.stations[station]),
          station_(station) {}

    Sentence reason(const Turn& turn, Clause clause, Form form) const {
        if (turn.step.kind == Step::Kind::deadline) {
            const Sentence due = whole(deadline_told(inquiry_, station_, turn.step.deadline, form));
            return turn.step.deadline == kRest ? say("{} before set-off", due)
                                               : say("{} before it was completed", due);
        }
        const std::optional<Happening> what = what_happened(inquiry_, turn);
        if (!what) return looked_up(clause_words(clause));
        return clause == Clause::start ? start(*what, form) : with_breach(*what, clause, form);
    }

  private:
    Sentence start(const Happening& what, Form form) const {
        const Sentence surfaces = words_.surfaces(definition_.start, "or");
        if (std::holds_alternative<Signal>(what)) return not_at_start(surfaces, form);
        const Sentence event = words_.tell(what, form);
        if (std::holds_alternative<Cross>(what)) return say("{} before set-off", event);
        return say("{} without a set-off from {}", event, surfaces);
    }
    Sentence not_at_start(const Sentence& surfaces, Form form) const {
        const bool after_if = form == Form::after_if;
        if (!definition_.start_plane)
            return after_if ? say_in("after if", "the athlete was not on {} at the start signal", surfaces)
                            : say("the athlete was not on {} at the start signal", surfaces);
        const Sentence plane = words_.plane(*definition_.start_plane);
        return after_if ? say_in("after if", "the athlete was not on {} and behind {} at the start signal",
                                 surfaces, plane)
                        : say("the athlete was not on {} and behind {} at the start signal", surfaces, plane);
    }

    Sentence with_breach(const Happening& what, Clause clause, Form form) const {
        const Sentence event = words_.tell(what, form);
        const auto* touch = std::get_if<Touch>(&what);
        switch (clause) {
            case Clause::out_of_play:
                return say("{}, which is out of play", event);
            case Clause::part:
                return touch ? say("{}, which is for {} only", event, allowed(touch->surface)) : event;
            case Clause::order:
                return out_of_order(words_.told(what, form), form);
            case Clause::once:
                return again(words_.told(what, form), form);
            case Clause::hands_down:
                return say("{}, where no hand may come down", event);
            case Clause::attempt:
                return definition_.attempts == 1
                           ? say("{}, which ended the only attempt", event)
                           : say("{}, which ended the last of {} attempts", event, definition_.attempts);
            case Clause::run_ended:
                return say("{} before it was completed", event);
            default:
                return event;
        }
    }
    static Sentence out_of_order(const Told& told, Form form) {
        return form == Form::after_if ? say_in("after if", "{} {} out of order", told.who, told.did)
                                      : say("{} {} out of order", told.who, told.did);
    }
    static Sentence again(const Told& told, Form form) {
        return form == Form::after_if ? say_in("after if", "{} {} again after leaving it", told.who, told.did)
                                      : say("{} {} again after leaving it", told.who, told.did);
    }
    Sentence allowed(course::SurfaceId surface) const {
        for (const course::Item& item : definition_.in_play) {
            if (item.surface == surface) return words_.parts(item.parts);
        }
        return say("other parts");
    }

    const Inquiry& inquiry_;
    const Words& words_;
    const course::Station& definition_;
    std::size_t station_;
};

/// The seen event at or after which a turn happened at the latest.
std::optional<std::size_t> seen_from(const std::vector<Turn>& turns, std::size_t turn) {
    for (std::size_t i = turn; i < turns.size(); ++i) {
        if (turns[i].step.kind == Step::Kind::mark) return static_cast<std::size_t>(turns[i].step.mark);
    }
    return std::nullopt;
}

std::optional<Shown> hull(const Shown& a, const Shown& b) {
    if (a.clip != b.clip) return std::nullopt;
    Shown both = a;
    both.after = a.after && b.after ? std::optional(std::min(*a.after, *b.after)) : std::nullopt;
    both.until = a.until && b.until ? std::optional(std::max(*a.until, *b.until)) : std::nullopt;
    return both;
}

}  // namespace

Clause first_clause(std::uint16_t clauses) {
    for (unsigned c = 0; c <= static_cast<unsigned>(Clause::run_ended); ++c) {
        if (clauses >> c & 1U) return static_cast<Clause>(c);
    }
    return Clause::landing;
}

std::optional<std::size_t> deciding_mark(const Inquiry& inquiry, std::size_t station) {
    std::optional<std::size_t> last;
    for (const std::int16_t m : inquiry.decided.stations[station].marks) {
        if (m < 0) return std::nullopt;
        const auto mark = static_cast<std::size_t>(m);
        if (!last || ends_later(inquiry.evidence.marks[mark], inquiry.evidence.marks[*last])) last = mark;
    }
    return last;
}

std::optional<Shown> begins_at(const Inquiry& inquiry, std::size_t station) {
    std::optional<Shown> all;
    for (const Ending& ending : inquiry.decided.endings) {
        const Outcome outcome = ending.stations[station].outcome;
        if (outcome == Outcome::not_reached || outcome == Outcome::undecided) continue;
        const std::vector<Turn> turns = replay(inquiry.decided, ending);
        const std::optional<std::size_t> turn = beginning_turn(turns, station);
        const std::optional<std::size_t> mark = turn ? seen_from(turns, *turn) : std::nullopt;
        const std::optional<Shown> shown = mark ? shown_of(inquiry.evidence.marks[*mark]) : std::nullopt;
        if (!shown) return std::nullopt;
        all = all ? hull(*all, *shown) : shown;
        if (!all) return std::nullopt;
    }
    return all;
}

std::vector<Reason> reasons(const Inquiry& inquiry, std::size_t station) {
    const Telling telling(inquiry, station);
    std::vector<Reason> all;
    for (const Ending& ending : inquiry.decided.endings) {
        const Decision& decision = ending.stations[station];
        if (decision.outcome != Outcome::failed) continue;
        const std::vector<Turn> turns = replay(inquiry.decided, ending);
        const std::optional<std::size_t> turn = deciding_turn(turns, station);
        if (!turn) continue;
        Reason reason;
        reason.clause = first_clause(decision.clauses);
        reason.words = telling.reason(turns[*turn], reason.clause, Form::past);
        reason.whether =
            base::is_speaking() ? telling.reason(turns[*turn], reason.clause, Form::after_if) : reason.words;
        reason.unseen = turns[*turn].step.kind == Step::Kind::unseen;
        if (std::find(all.begin(), all.end(), reason) == all.end()) all.push_back(reason);
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const Reason& a, const Reason& b) { return !a.unseen && b.unseen; });
    return all;
}

}  // namespace plumbmark::ruling
