#include "ruling/case_check.h"

#include <algorithm>
#include <iterator>
#include <set>

namespace plumbmark::test {
namespace {

std::string words(ruling::Verdict verdict, bool if_reached, const std::vector<ruling::Clause>& clauses) {
    std::string text = ruling::verdict_words(verdict);
    if (if_reached) text += " if reached";
    for (const ruling::Clause clause : std::set<ruling::Clause>(clauses.begin(), clauses.end()))
        text += std::string(" ") + ruling::clause_key(clause);
    return text;
}
std::string words(const ruling::StationRuling& station) {
    const bool fails = station.verdict == ruling::Verdict::fail;
    return words(station.verdict, station.if_reached,
                 fails ? station.failing_clauses : std::vector<ruling::Clause>{});
}

std::string results_of(const ruling::RunRuling& ruled) {
    std::string text;
    for (const ruling::RunResult& result : ruled.results)
        text +=
            (text.empty() ? "" : " ") + std::to_string(result.cleared) + (result.full_clear ? "-full" : "");
    return text;
}

std::string points_of(const ruling::RunRuling& ruled) {
    std::set<std::int32_t> points;
    for (const ruling::RunResult& result : ruled.results)
        points.insert(result.points);
    std::string text;
    for (const std::int32_t n : points)
        text += (text.empty() ? "" : " ") + std::to_string(n);
    return text;
}

std::string nanoseconds(std::optional<base::Duration> time) {
    return time ? std::to_string(time->ns) : "none";
}
std::string words(const ExpectedSplit& split) {
    if (split.none) return "none";
    return std::to_string(split.after.ns) + ".." + std::to_string(split.until.ns) + " from " +
           std::to_string(split.low) + " to " + std::to_string(split.high);
}
std::string split_of(const ruling::RunRuling& ruled) {
    if (!ruled.split) return "none";
    const auto end = [](std::optional<base::Time> t) { return t ? std::to_string(t->ns) : "open"; };
    return end(ruled.split->after) + ".." + end(ruled.split->until) + " from " +
           nanoseconds(ruled.split_low) + " to " + nanoseconds(ruled.split_high);
}

std::string compared(const std::string& what, const std::string& is, const std::string& should) {
    return is == should ? "" : what + ": " + is + " instead of " + should + "\n";
}

std::string difference_in_ruling(const RuleCase& rule_case) {
    const base::Result<ruling::RunRuling> ruled = rule(rule_case);
    if (!ruled.ok()) return "refused: " + ruled.error().text() + "\n";
    std::string text;
    for (const ExpectedStation& expected : rule_case.expected) {
        const auto at = static_cast<std::size_t>(rule_case.book.find_station(expected.station).value);
        text += compared(expected.station, words(ruled.value().stations.at(at)),
                         words(expected.verdict, expected.if_reached, expected.clauses));
    }
    if (!rule_case.results.empty()) text += compared("cleared", results_of(ruled.value()), rule_case.results);
    if (!rule_case.points.empty()) text += compared("points", points_of(ruled.value()), rule_case.points);
    if (rule_case.split) text += compared("split", split_of(ruled.value()), words(*rule_case.split));
    return text;
}

ruling::Evidence only(const ruling::Evidence& from, const std::set<std::int64_t>& lines) {
    ruling::Evidence kept;
    kept.clips = from.clips;
    const auto keep = [&](const auto& all, auto& into) {
        std::copy_if(all.begin(), all.end(), std::back_inserter(into),
                     [&](const auto& one) { return lines.contains(one.id.value); });
    };
    keep(from.marks, kept.marks);
    keep(from.contacts, kept.contacts);
    keep(from.spans, kept.spans);
    return kept;
}

bool refused(const RuleCase& rule_case, const ruling::Evidence& evidence) {
    ruling::Settings verdicts = rule_case.settings;
    verdicts.explain = false;
    const auto ruled = ruling::rule_run(rule_case.book, evidence, verdicts);
    return !ruled.ok() && ruled.error().category == base::Category::contradiction;
}

std::string difference_in_refusal(const RuleCase& rule_case) {
    if (!refused(rule_case, rule_case.evidence)) return "not refused as a contradiction\n";
    const std::set<std::int64_t> named(rule_case.contradiction.begin(), rule_case.contradiction.end());
    std::string text;
    if (!refused(rule_case, only(rule_case.evidence, named)))
        text += "the named lines alone are not refused\n";
    for (const std::int64_t line : named) {
        std::set<std::int64_t> fewer = named;
        fewer.erase(line);
        if (refused(rule_case, only(rule_case.evidence, fewer)))
            text += "refused also without line " + std::to_string(line) + "\n";
    }
    return text;
}

}  // namespace

std::string difference(const RuleCase& rule_case) {
    if (!rule_case.refused && rule_case.expected.empty()) return "the case expects nothing\n";
    return rule_case.refused ? difference_in_refusal(rule_case) : difference_in_ruling(rule_case);
}

}  // namespace plumbmark::test
