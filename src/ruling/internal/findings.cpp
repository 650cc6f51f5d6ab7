#include <algorithm>

#include "base/text.h"
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
            const std::string rule = rule_words(clause);
            if (rule.empty() && !decides) continue;
            const ClauseState state = state_of(clause);
            found.push_back({clause, state,
                             (rule.empty() ? clause_words(clause) : rule) + ": " + finding(clause, state)});
        }
        return found;
    }

  private:
    /// What the clause asks of this station; empty where it asks nothing.
    std::string rule_words(Clause clause) const {
        switch (clause) {
            case Clause::start:
                return "set off from " + words_.surfaces(definition_.start, "or") +
                       (definition_.start_plane ? ", behind " + words_.plane(*definition_.start_plane) : "");
            case Clause::out_of_play:
                return "nothing out of play touched";
            case Clause::part:
                return parts_rule();
            case Clause::order:
                return order_rule();
            case Clause::once:
                return once_rule();
            case Clause::hands_down:
                return definition_.landing.no_hands_down
                           ? "no hand down on " + words_.surfaces(definition_.landing.surfaces, "or")
                           : "";
            case Clause::attempt:
                return definition_.attempts > 1 ? "at most " + base::counted(definition_.attempts, "attempt")
                                                : "";
            case Clause::cap:
                return cap_rule();
            case Clause::infraction:
                return "no infraction";
            case Clause::landing:
                return completion_words(inquiry_, station_, false, "");
            case Clause::run_ended:
                return "completed before the run ended";
        }
        return "";
    }
    std::string parts_rule() const {
        std::vector<std::string> rules;
        std::vector<course::PartSet> told;
        for (const course::Item& item : definition_.in_play) {
            if (item.parts.contains(course::kWholeBody)) continue;
            if (std::find(told.begin(), told.end(), item.parts) != told.end()) continue;
            told.push_back(item.parts);
            std::vector<course::SurfaceId> surfaces;
            for (const course::Item& other : definition_.in_play) {
                if (other.parts == item.parts) surfaces.push_back(other.surface);
            }
            rules.push_back(words_.parts(item.parts) + " only on " + words_.surfaces(surfaces, "and"));
        }
        return base::listed(rules);
    }
    std::string order_rule() const {
        std::vector<std::string> rules;
        for (const course::ItemRow& row : definition_.rows) {
            rules.push_back(
                words_.surfaces(row.members, "and") + " in turn" +
                (row.max_skipped > 0 ? ", at most " + std::to_string(row.max_skipped) + " skipped" : ""));
        }
        for (const course::Item& item : definition_.in_play) {
            if (item.after)
                rules.push_back(words_.surface(item.surface) + " after " + words_.surface(*item.after));
        }
        return base::listed(rules);
    }
    std::string once_rule() const {
        std::vector<course::SurfaceId> surfaces;
        for (const course::Item& item : definition_.in_play) {
            if (item.once) surfaces.push_back(item.surface);
        }
        return surfaces.empty() ? "" : words_.surfaces(surfaces, "and") + " only once";
    }
    std::string cap_rule() const {
        std::vector<std::string> caps;
        if (definition_.cap) caps.push_back("within " + base::duration_text(*definition_.cap));
        if (definition_.rest_limit)
            caps.push_back("set off within " + base::duration_text(*definition_.rest_limit));
        if (inquiry_.book.run_cap)
            caps.push_back("the run within " + base::duration_text(*inquiry_.book.run_cap));
        return base::listed(caps);
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

    std::string finding(Clause clause, ClauseState state) const {
        switch (state) {
            case ClauseState::kept:
                return "kept";
            case ClauseState::not_tested:
                return "not tested";
            case ClauseState::broken:
            case ClauseState::not_shown: {
                std::vector<std::string> ways;
                for (const Reason& reason : reasons_) {
                    const std::string words = reason.words + (reason.unseen ? " unseen" : "");
                    if (reason.clause == clause && ways.size() < 2) ways.push_back(words);
                }
                if (state == ClauseState::not_shown)
                    return ways.empty() ? "not shown" : "not shown whether " + base::listed(ways, "or");
                return ways.empty() ? "broken" : base::listed(ways, "or");
            }
        }
        return "";
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
