#include <algorithm>

#include "ruling/internal/sentences.h"

namespace plumbmark::ruling {
namespace {

class Findings {
  public:
    Findings(const Inquiry& inquiry, std::size_t station)
        : inquiry_(inquiry),
          words_(inquiry.words),
          station_(station),
          definition_(inquiry.book.stations[station]),
          reasons_(reasons(inquiry, station)) {}

    std::vector<ClauseFinding> all() const {
        std::vector<ClauseFinding> found;
        for (unsigned c = 0; c <= static_cast<unsigned>(Clause::run_ended); ++c) {
            const auto clause = static_cast<Clause>(c);
            const bool decides = inquiry_.decided.stations[station_].failing_clauses >> c & 1U;
            const Sentence rule = rule_words(clause);
            if (rule.empty() && !decides) continue;
            const ClauseState state = state_of(clause);
            found.push_back({clause, state,
                             finding(rule.empty() ? looked_up(clause_words(clause)) : rule, clause, state)});
        }
        return found;
    }

  private:
    /// What the clause asks of this station; empty where it asks nothing.
    Sentence rule_words(Clause clause) const {
        switch (clause) {
            case Clause::start:
                return start_rule();
            case Clause::out_of_play:
                return say("nothing out of play touched");
            case Clause::part:
                return parts_rule();
            case Clause::order:
                return order_rule();
            case Clause::once:
                return once_rule();
            case Clause::hands_down:
                return definition_.landing.no_hands_down
                           ? say("no hand down on {}", words_.surfaces(definition_.landing.surfaces, "or"))
                           : Sentence();
            case Clause::attempt:
                return definition_.attempts > 1 ? say("at most {} attempts", definition_.attempts)
                                                : Sentence();
            case Clause::cap:
                return cap_rule();
            case Clause::infraction:
            case Clause::run_ended:
                return looked_up(clause_words(clause));
            case Clause::landing:
                return completion_rule(inquiry_, station_);
        }
        return {};
    }
    Sentence start_rule() const {
        const Sentence surfaces = words_.surfaces(definition_.start, "or");
        return definition_.start_plane
                   ? say("set off from {}, behind {}", surfaces, words_.plane(*definition_.start_plane))
                   : say("set off from {}", surfaces);
    }
    Sentence parts_rule() const {
        std::vector<Sentence> rules;
        std::vector<course::PartSet> told;
        for (const course::Item& item : definition_.in_play) {
            if (item.parts.contains(course::kWholeBody)) continue;
            if (std::find(told.begin(), told.end(), item.parts) != told.end()) continue;
            told.push_back(item.parts);
            std::vector<course::SurfaceId> surfaces;
            for (const course::Item& other : definition_.in_play) {
                if (other.parts == item.parts) surfaces.push_back(other.surface);
            }
            rules.push_back(say("{} only on {}", words_.parts(item.parts), words_.surfaces(surfaces, "and")));
        }
        return listed(rules);
    }
    Sentence order_rule() const {
        std::vector<Sentence> rules;
        for (const course::ItemRow& row : definition_.rows) {
            const Sentence members = words_.surfaces(row.members, "and");
            rules.push_back(row.max_skipped > 0
                                ? say("{} in turn, at most {} skipped", members, row.max_skipped)
                                : say("{} in turn", members));
        }
        for (const course::Item& item : definition_.in_play) {
            if (item.after)
                rules.push_back(say_in("one item after another", "{} after {}", words_.surface(item.surface),
                                       words_.surface(*item.after)));
        }
        return listed(rules);
    }
    Sentence once_rule() const {
        std::vector<course::SurfaceId> surfaces;
        for (const course::Item& item : definition_.in_play) {
            if (item.once) surfaces.push_back(item.surface);
        }
        return surfaces.empty() ? Sentence() : say("{} only once", words_.surfaces(surfaces, "and"));
    }
    Sentence cap_rule() const {
        std::vector<Sentence> caps;
        if (definition_.cap)
            caps.push_back(say_in("a time", "within {}", base::duration_text(*definition_.cap)));
        if (definition_.rest_limit)
            caps.push_back(say("set off within {}", base::duration_text(*definition_.rest_limit)));
        if (inquiry_.book.run_cap)
            caps.push_back(say("the run within {}", base::duration_text(*inquiry_.book.run_cap)));
        return listed(caps);
    }

    ClauseState state_of(Clause clause) const {
        bool broken = false, kept = false, open = false, reached = false, cleared = false;
        for (const Ending& ending : inquiry_.decided.endings) {
            const Decision& decision = ending.stations[station_];
            if (decision.outcome == Outcome::not_reached || decision.outcome == Outcome::undecided) continue;
            reached = true;
            const bool by_this = decision.outcome == Outcome::failed &&
                                 (decision.clauses >> static_cast<unsigned>(clause) & 1U);
            (by_this ? broken : kept) = true;
            open |= decision.outcome == Outcome::open;
            cleared |= decision.outcome == Outcome::cleared;
        }
        if (!reached) return ClauseState::not_tested;
        if (broken) return kept ? ClauseState::not_shown : ClauseState::broken;
        if (clause == Clause::landing && !cleared)
            return open ? ClauseState::not_shown : ClauseState::not_tested;
        if (clause == Clause::landing && inquiry_.decided.stations[station_].verdict == Verdict::not_shown)
            return ClauseState::not_shown;
        return ClauseState::kept;
    }

    Sentence finding(const Sentence& rule, Clause clause, ClauseState state) const {
        switch (state) {
            case ClauseState::kept:
                return say("{}: kept", rule);
            case ClauseState::not_tested:
                return say("{}: not tested", rule);
            case ClauseState::broken: {
                const Sentence how = ways(clause, &Reason::words);
                return how.empty() ? say("{}: broken", rule)
                                   : say_in("a rule, and how it was broken", "{}: {}", rule, how);
            }
            case ClauseState::not_shown: {
                const Sentence how = ways(clause, &Reason::whether);
                return how.empty() ? say("{}: not shown", rule) : say("{}: not shown whether {}", rule, how);
            }
        }
        return {};
    }
    /// Two ways in which the clause was broken, at most.
    Sentence ways(Clause clause, Sentence Reason::*told) const {
        std::vector<Sentence> all;
        for (const Reason& reason : reasons_) {
            if (reason.clause != clause || all.size() == 2) continue;
            all.push_back(reason.unseen ? say("{} unseen", reason.*told) : reason.*told);
        }
        return listed(all, "or");
    }

    const Inquiry& inquiry_;
    const Words& words_;
    std::size_t station_;
    const course::Station& definition_;
    std::vector<Reason> reasons_;
};

}  // namespace

std::vector<ClauseFinding> findings_of(const Inquiry& inquiry, std::size_t station) {
    return Findings(inquiry, station).all();
}

}  // namespace plumbmark::ruling
