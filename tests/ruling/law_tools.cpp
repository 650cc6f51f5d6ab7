#include "ruling/law_tools.h"

#include <algorithm>
#include <cstdlib>

#include "oracle/case_text.h"
#include "support/sanitized.h"

namespace plumbmark::test {

using oracle::Case;
using ruling::RunRuling;
using ruling::StationRuling;
using ruling::Verdict;

int reviews() {
    const char* given = std::getenv("PLUMBMARK_LAW_REVIEWS");
    if (given != nullptr) return std::atoi(given);
    return kSanitized ? 20 : 120;
}

Case any_case() {
    return oracle::random_case(*rc::gen::inRange<std::uint64_t>(0, 1'000'000));
}
oracle::Dice any_dice() {
    return oracle::Dice(*rc::gen::inRange<std::uint64_t>(0, 1'000'000));
}
std::size_t any_clip(const Case& review) {
    return *rc::gen::inRange<std::size_t>(0, review.evidence.clips.size());
}

bool shown(Verdict verdict) {
    return verdict == Verdict::clear || verdict == Verdict::fail;
}

namespace {

std::string text_of(const base::Result<RunRuling>& ruled) {
    if (!ruled.ok()) return ruled.error().text() + "\n";
    std::string text;
    for (const StationRuling& station : ruled.value().stations) {
        text += std::string("  ") + ruling::verdict_words(station.verdict) +
                (station.if_reached ? " if reached" : "");
        for (ruling::Clause clause : station.failing_clauses)
            text += std::string(" ") + ruling::clause_key(clause);
        text += "\n";
    }
    return text;
}

bool tangled(const base::Result<RunRuling>& ruled) {
    return !ruled.ok() && ruled.error().category == base::Category::too_tangled;
}

}  // namespace

base::Result<RunRuling> rule(const Case& one, std::int64_t drift) {
    ruling::Settings settings;
    settings.explain = false;
    settings.budget_states = 4'000;  // what takes more is too tangled for a law that is tried often
    settings.drift_parts_per_million = drift;
    return ruling::rule_run(one.book, one.evidence, settings);
}

Pair rule_both(const Case& before, const Case& after, std::int64_t drift) {
    Pair both{rule(before, drift), rule(after, drift)};
    // For a failure to print.
    RC_LOG() << oracle::describe(before) << text_of(both.before) << "changed to\n"
             << oracle::describe(after) << text_of(both.after);
    RC_PRE(!tangled(both.before) && !tangled(both.after));
    return both;
}

void expect_same(const Case& before, const Case& after) {
    const Pair both = rule_both(before, after);
    RC_ASSERT(both.before.ok() == both.after.ok());
    if (!both.before.ok()) return;
    for (std::size_t i = 0; i < both.before.value().stations.size(); ++i) {
        const StationRuling& a = both.before.value().stations[i];
        const StationRuling& b = both.after.value().stations[i];
        RC_ASSERT(a.verdict == b.verdict);
        RC_ASSERT(a.if_reached == b.if_reached);
        RC_ASSERT(a.failing_clauses == b.failing_clauses);
    }
    RC_ASSERT(both.before.value().results == both.after.value().results);
}

void expect_widened(const Pair& both) {
    RC_PRE(both.before.ok());
    RC_ASSERT(both.after.ok());
    expect_narrowed(both.after.value(), both.before.value());
}

void expect_narrowed(const RunRuling& wide, const RunRuling& narrow) {
    for (std::size_t i = 0; i < wide.stations.size(); ++i) {
        const StationRuling& was = wide.stations[i];
        const StationRuling& is = narrow.stations[i];
        if (is.verdict == Verdict::not_reached) {
            RC_ASSERT(was.verdict == Verdict::not_reached || was.if_reached);
            continue;
        }
        RC_ASSERT(was.verdict != Verdict::not_reached);
        if (was.verdict != Verdict::not_shown) RC_ASSERT(is.verdict == was.verdict);
        if (is.if_reached) RC_ASSERT(was.if_reached);
        const auto& clauses = was.failing_clauses;
        for (const ruling::Clause clause : is.failing_clauses)
            RC_ASSERT(std::find(clauses.begin(), clauses.end(), clause) != clauses.end());
    }
    RC_ASSERT(std::includes(wide.results.begin(), wide.results.end(), narrow.results.begin(),
                            narrow.results.end()));
}

std::optional<base::Time> frame_before(const ruling::ClipFacts& clip, base::Time t) {
    const auto at = std::lower_bound(clip.frame_times.begin(), clip.frame_times.end(), t);
    if (at == clip.frame_times.begin()) return std::nullopt;
    return *(at - 1);
}
std::optional<base::Time> frame_after(const ruling::ClipFacts& clip, base::Time t) {
    const auto at = std::upper_bound(clip.frame_times.begin(), clip.frame_times.end(), t);
    if (at == clip.frame_times.end()) return std::nullopt;
    return *at;
}

}  // namespace plumbmark::test
