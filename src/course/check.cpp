#include "course/check.h"

#include <algorithm>
#include <tuple>

#include "base/worded.h"
#include "course/internal/checks.h"

namespace plumbmark::course {
namespace {

using internal::Report;
using internal::Rule;

std::vector<Rule> all_rules() {
    std::vector<Rule> rules;
    for (const auto group : {internal::course_rules(), internal::station_rules(), internal::time_rules(),
                             internal::naming_rules()}) {
        rules.insert(rules.end(), group.begin(), group.end());
    }
    return rules;
}

// Names and declarations are looked at once, for the book: a division uses only some of them.
std::vector<Rule> division_rules() {
    std::vector<Rule> rules;
    for (const auto group : {internal::course_rules(), internal::station_rules(), internal::time_rules()}) {
        rules.insert(rules.end(), group.begin(), group.end());
    }
    return rules;
}

std::vector<Finding> findings_of(const CourseBook& book, const std::vector<Rule>& rules) {
    std::vector<Finding> findings;
    for (const Rule& rule : rules) {
        Report report(rule.code, rule.severity, findings);
        rule.run(book, report);
    }
    return findings;
}

bool told_there(const std::vector<Finding>& findings, const Finding& finding) {
    return std::any_of(findings.begin(), findings.end(), [&](const Finding& other) {
        return other.code == finding.code && other.place == finding.place;
    });
}

base::Sentence in_lane(const Division* division, const Lane& lane, const base::Sentence& sentence) {
    return division == nullptr
               ? base::worded("In lane '{}': {}", lane.name, sentence)
               : base::worded("In division '{}', lane '{}': {}", division->name, lane.name, sentence);
}

// A lane has its own course; a mistake of the course itself is not told again with the lane's surfaces. Null:
// of the whole course.
void add_lane_findings(const CourseBook& book, const Division* division, std::vector<Finding>& findings) {
    const std::vector<Finding> told = findings;
    const std::vector<Rule> rules = division_rules();
    for (const Lane& lane : book.lanes) {
        const base::Result<CourseBook> own = lane_book(book, lane.key);
        if (!own) continue;
        for (Finding& finding : findings_of(*own, rules)) {
            if (told_there(told, finding)) continue;
            finding.sentence = in_lane(division, lane, finding.sentence);
            findings.push_back(std::move(finding));
        }
    }
}

// A division has its own course; what only that course shows is told with the division's name.
void add_division_findings(const CourseBook& book, std::vector<Finding>& findings) {
    const std::vector<Finding> of_course = findings;
    const std::vector<Rule> rules = division_rules();
    for (const Division& division : book.divisions) {
        const base::Result<CourseBook> own = division_book(book, division.key);
        if (!own) continue;
        for (Finding& finding : findings_of(*own, rules)) {
            if (std::find(of_course.begin(), of_course.end(), finding) != of_course.end()) continue;
            finding.sentence = base::worded("In division '{}': {}", division.name, finding.sentence);
            findings.push_back(std::move(finding));
        }
        add_lane_findings(*own, &division, findings);
    }
}

}  // namespace

std::string Finding::text(std::string_view file) const {
    std::string line(file);
    if (place.line > 0) {
        line += (line.empty() ? "" : ":") + std::to_string(place.line) + ":" + std::to_string(place.column);
    }
    if (!line.empty()) line += ": ";
    line += severity == Severity::error ? "error: " : "warning: ";
    return line + sentence.english() + " " + repair.english() + " [" + code + "]";
}

std::vector<CheckInfo> book_checks() {
    std::vector<CheckInfo> infos;
    for (const Rule& rule : all_rules()) {
        infos.push_back({std::string(rule.code), rule.severity, std::string(rule.about)});
    }
    return infos;
}

std::vector<Finding> check_book(const CourseBook& book) {
    std::vector<Finding> findings = findings_of(book, all_rules());
    add_lane_findings(book, nullptr, findings);
    add_division_findings(book, findings);
    std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
        return std::tie(a.place.line, a.place.column) < std::tie(b.place.line, b.place.column);
    });
    return findings;
}

bool has_errors(const std::vector<Finding>& findings) {
    return std::any_of(findings.begin(), findings.end(),
                       [](const Finding& finding) { return finding.severity == Severity::error; });
}

}  // namespace plumbmark::course
