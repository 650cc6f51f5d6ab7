#include "ruling/internal/decide.h"

#include <algorithm>

namespace plumbmark::ruling {

BareVerdict bare_verdict(const std::vector<Ending>& endings, std::size_t station) {
    BareVerdict bare;
    bool cleared = false, failed = false, missed = false, open = false;
    for (const Ending& ending : endings) {
        const Decision& decision = ending.world.stations[station];
        cleared |= decision.outcome == Outcome::cleared;
        failed |= decision.outcome == Outcome::failed;
        open |= decision.outcome == Outcome::open;
        missed |= decision.outcome == Outcome::not_reached;
        if (decision.outcome == Outcome::failed) bare.failing_clauses |= decision.clauses;
        const bool decided = decision.outcome == Outcome::cleared || decision.outcome == Outcome::failed;
        if (decided && std::find(bare.marks.begin(), bare.marks.end(), decision.mark) == bare.marks.end())
            bare.marks.push_back(decision.mark);
    }
    std::sort(bare.marks.begin(), bare.marks.end());
    if (open || (cleared && failed))
        bare.verdict = Verdict::not_shown;
    else if (cleared)
        bare.verdict = Verdict::clear;
    else if (failed)
        bare.verdict = Verdict::fail;
    bare.if_reached = missed && bare.verdict != Verdict::not_reached;
    return bare;
}

base::Result<Decided> decide(const course::CourseBook& book, const Evidence& evidence,
                             const Settings& settings, const Enough& enough) {
    if (evidence.marks.size() > kMostMarks)
        return base::Error{base::Category::unsupported,
                           "A review can have at most 512 marks; divide the run.", ""};
    base::Result<Roles> roles = Roles::make(book, evidence);
    if (!roles) return roles.error();
    Decided decided;
    decided.roles = std::make_unique<Roles>(std::move(*roles));
    base::Result<Prepared> prepared = prepare(*decided.roles, evidence);
    if (!prepared) return prepared.error();
    decided.prepared = std::make_unique<Prepared>(std::move(*prepared));
    decided.search = std::make_unique<Search>(*decided.roles, *decided.prepared, settings);
    base::Result<Endings> endings = decided.search->run(enough);
    if (!endings) return endings.error();
    decided.endings = std::move(*endings);
    if (decided.endings.endings.empty())
        return base::Error{base::Category::contradiction, "These marks cannot all be true.", ""};
    for (std::size_t k = 0; k < book.stations.size(); ++k)
        decided.stations.push_back(bare_verdict(decided.endings.endings, k));
    return decided;
}

}  // namespace plumbmark::ruling
