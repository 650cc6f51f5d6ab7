#include "ruling/internal/deciding.h"

#include <algorithm>

#include "base/text.h"
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

std::string count_words(std::int32_t n) {
    return n == 1 ? "the only attempt" : "the last of " + std::to_string(n) + " attempts";
}

class Telling {
  public:
    Telling(const Inquiry& inquiry, std::size_t station)
        : inquiry_(inquiry),
          words_(inquiry.words),
          definition_(inquiry.book.stations[station]),
          station_(station) {}

    std::string reason(const Turn& turn, Clause clause) const {
        if (turn.step.kind == Step::Kind::deadline)
            return deadline_words(inquiry_, station_, turn.step.deadline) +
                   (turn.step.deadline == kRest ? " before set-off" : " before it was completed");
        const std::optional<Happening> what = what_happened(inquiry_, turn);
        if (!what) return clause_words(clause);
        if (clause == Clause::start) return start(*what);
        return words_.happened(*what) + ending(*what, clause);
    }

  private:
    std::string start(const Happening& what) const {
        if (std::holds_alternative<Signal>(what)) {
            const std::string on = "on " + words_.surfaces(definition_.start, "or");
            if (!definition_.start_plane) return "the athlete was not " + on + " at the start signal";
            return "the athlete was not " + on + " and behind " + words_.plane(*definition_.start_plane) +
                   " at the start signal";
        }
        if (std::holds_alternative<Cross>(what)) return words_.happened(what) + " before set-off";
        return words_.happened(what) + " without a set-off from " + words_.surfaces(definition_.start, "or");
    }

    std::string ending(const Happening& what, Clause clause) const {
        const auto* touch = std::get_if<Touch>(&what);
        switch (clause) {
            case Clause::out_of_play:
                return ", which is out of play";
            case Clause::part:
                return touch ? ", which is for " + allowed(touch->surface) + " only" : "";
            case Clause::order:
                return " out of order";
            case Clause::once:
                return " again after leaving it";
            case Clause::hands_down:
                return ", where no hand may come down";
            case Clause::attempt:
                return ", which ended " + count_words(definition_.attempts);
            case Clause::run_ended:
                return " before it was completed";
            default:
                return "";
        }
    }
    std::string allowed(course::SurfaceId surface) const {
        for (const course::Item& item : definition_.in_play) {
            if (item.surface == surface) return words_.parts(item.parts);
        }
        return "other parts";
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
        reason.words = telling.reason(turns[*turn], reason.clause);
        reason.unseen = turns[*turn].step.kind == Step::Kind::unseen;
        if (std::find(all.begin(), all.end(), reason) == all.end()) all.push_back(reason);
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const Reason& a, const Reason& b) { return !a.unseen && b.unseen; });
    return all;
}

}  // namespace plumbmark::ruling
