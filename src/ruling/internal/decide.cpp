#include "ruling/internal/decide.h"

#include <algorithm>

#include "base/worded.h"

namespace plumbmark::ruling {
namespace {

using base::Category;
using base::Error;
using base::worded;

std::optional<Error> size_error(const Evidence& evidence) {
    if (evidence.marks.size() > kMostMarks)
        return Error{Category::unsupported, worded("A review can have at most 512 marks; divide the run."),
                     ""};
    if (evidence.clips.size() > kMostClips)
        return Error{Category::unsupported, worded("A review can have at most 32 clips; leave some out."),
                     ""};
    return std::nullopt;
}

void add_marks(Decided& decided) {
    for (const Ending& ending : decided.endings) {
        for (std::size_t k = 0; k < decided.stations.size(); ++k) {
            const Decision& decision = ending.stations[k];
            if (decision.outcome != Outcome::cleared && decision.outcome != Outcome::failed) continue;
            std::vector<std::int16_t>& marks = decided.stations[k].marks;
            if (std::find(marks.begin(), marks.end(), decision.mark) == marks.end())
                marks.push_back(decision.mark);
        }
    }
    for (BareVerdict& bare : decided.stations)
        std::sort(bare.marks.begin(), bare.marks.end());
}

AsCalled for_search(const Evidence& evidence, const Calls& calls, std::size_t stations) {
    AsCalled called;
    called.clear.assign(calls.clear.begin(), calls.clear.begin() + static_cast<std::ptrdiff_t>(stations));
    if (stations < calls.clear.size()) return called;
    for (std::size_t m = 0; m < evidence.marks.size(); ++m) {
        if (evidence.marks[m].id == calls.completed_by) called.completed_by = static_cast<int>(m);
    }
    return called;
}

bool is_contradiction(const base::Result<Decided>& decided) {
    return !decided.ok() && decided.error().category == Category::contradiction;
}

}  // namespace

BareVerdict bare_verdict(const Met& met) {
    BareVerdict bare;
    if (met.open || (met.cleared && met.failed))
        bare.verdict = Verdict::not_shown;
    else if (met.cleared)
        bare.verdict = Verdict::clear;
    else if (met.failed)
        bare.verdict = Verdict::fail;
    bare.if_reached = met.not_reached && bare.verdict != Verdict::not_reached;
    bare.failing_clauses = met.failing_clauses;
    return bare;
}

base::Result<Decided> decide(const CoursePtr& course, const Evidence& evidence, const Settings& settings,
                             const AsCalled& called, const Enough& enough) {
    if (std::optional<Error> error = size_error(evidence)) return *error;
    base::Result<Roles> roles = Roles::make(course, evidence);
    if (!roles) return roles.error();
    Decided decided;
    decided.roles = std::make_unique<Roles>(std::move(*roles));
    base::Result<Prepared> prepared = prepare(*decided.roles, evidence);
    if (!prepared) return prepared.error();
    decided.prepared = std::make_unique<Prepared>(std::move(*prepared));
    decided.called = std::make_unique<AsCalled>(called);
    decided.settings = std::make_unique<Settings>(settings);
    decided.search =
        std::make_unique<Search>(*decided.roles, *decided.prepared, *decided.settings, *decided.called);
    if (base::Result<void> searched = decided.search->run(enough); !searched) return searched.error();
    decided.work = decided.search->work();
    if (decided.search->run_ends().empty())
        return Error{Category::contradiction, worded("These marks cannot all be true."), ""};
    for (const Met& met : decided.search->met())
        decided.stations.push_back(bare_verdict(met));
    if (enough) return decided;
    decided.endings = decided.search->endings();
    add_marks(decided);
    return decided;
}

base::Result<Decided> decide_as_called(const CoursePtr& course, const Evidence& evidence,
                                       const Settings& settings, const Calls& calls, const Enough& enough) {
    Evidence assumed;
    const Evidence* all = &evidence;
    if (!calls.assumed.empty()) {
        assumed = evidence;
        assumed.spans.insert(assumed.spans.end(), calls.assumed.begin(), calls.assumed.end());
        all = &assumed;
    }
    base::Result<Decided> decided =
        decide(course, *all, settings, for_search(*all, calls, calls.clear.size()), enough);
    if (calls.clear.empty() || !is_contradiction(decided)) return decided;
    // Which of the calls leaves no world?
    for (std::size_t k = 0; k <= calls.clear.size(); ++k) {
        const base::Result<Decided> some = decide(course, *all, settings, for_search(*all, calls, k));
        if (some.ok()) continue;
        if (k == 0 || !is_contradiction(some)) return some.error();
        const std::string& name = course->book().stations[k - 1].name;
        return Error{
            Category::unsupported,
            calls.clear[k - 1]
                ? worded("The marks leave no way in which {} was clear, as it was called. Rule the whole "
                         "run instead, or appeal that station too.",
                         name)
                : worded("The marks leave no way in which {} was a fail, as it was called. Rule the whole "
                         "run instead, or appeal that station too.",
                         name),
            ""};
    }
    return decided;
}

}  // namespace plumbmark::ruling
