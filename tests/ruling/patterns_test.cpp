// docs/rule-cases.md, the table from patterns to the hand-written cases, held to the case files: every case
// names its patterns, every pattern has a case, and the page says so.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

#include "ruling/case_file.h"
#include "support/test_places.h"

using namespace plumbmark;
using namespace plumbmark::test;
namespace fs = std::filesystem;

namespace {

const fs::path kCases = test::source_folder() / "tests/ruling/cases";
const fs::path kPage = test::source_folder() / "docs/rule-cases.md";

std::string text_of(const fs::path& path) {
    std::ifstream stream(path, std::ios::binary);
    REQUIRE(stream);
    return {std::istreambuf_iterator<char>(stream), {}};
}

struct Pattern {
    std::string key;
    std::string what;
};

std::vector<Pattern> patterns() {
    std::istringstream lines(text_of(kCases / "patterns.txt"));
    std::vector<Pattern> all;
    for (std::string line; std::getline(lines, line);) {
        if (line.empty() || line[0] == '#') continue;
        const std::size_t space = line.find(' ');
        REQUIRE(space != std::string::npos);
        all.push_back({line.substr(0, space), line.substr(space + 1)});
    }
    return all;
}

struct Named {
    std::string file;
    RuleCase rule_case;
};

std::vector<Named> all_cases() {
    std::vector<Named> all;
    for (CaseFile& file : case_files()) {
        for (RuleCase& rule_case : file.cases)
            all.push_back({file.name, std::move(rule_case)});
    }
    return all;
}

constexpr const char* kAbove = R"(# Rule cases by pattern

The hand-written cases of `tests/ruling/cases/`, by the patterns of stations and of evidence that they cover. Each has its
verdict and the reason written down before the engine ruled. The patterns are common practice, no source; what only concerns
places and lists (ties, statuses such as 'did not start') is not the ruling's business and stands with the meet.

This page is made from the lines `pattern ...` of the cases and from `tests/ruling/cases/patterns.txt`; a test holds it to
them. After a change: `build/test-ruling "[write-rule-cases]"`.

)";

std::string page(const std::vector<Named>& cases) {
    std::map<std::string, std::map<std::string, std::vector<std::string>>> by_pattern;
    for (const Named& named : cases) {
        for (const std::string& pattern : named.rule_case.patterns)
            by_pattern[pattern][named.file].push_back(named.rule_case.title);
    }
    std::ostringstream out;
    out << kAbove << cases.size() << " cases.\n\n| pattern | | cases |\n|---|---|---|\n";
    for (const Pattern& pattern : patterns()) {
        out << "| " << pattern.key << " | " << pattern.what << " |";
        for (const auto& [file, titles] : by_pattern[pattern.key]) {
            out << (file == by_pattern[pattern.key].begin()->first ? " " : "<br>") << "**" << file << "**: ";
            for (std::size_t i = 0; i < titles.size(); ++i)
                out << (i == 0 ? "" : "; ") << titles[i];
        }
        out << " |\n";
    }
    return out.str();
}

}  // namespace

TEST_CASE("every rule case names patterns that there are, and has a reason and a title of its own") {
    const std::vector<Pattern> known = patterns();
    std::map<std::string, int> titles;
    for (const Named& named : all_cases()) {
        INFO(named.file << ": " << named.rule_case.title);
        CHECK_FALSE(named.rule_case.patterns.empty());
        CHECK_FALSE(named.rule_case.why.empty());
        CHECK(++titles[named.rule_case.title] == 1);
        for (const std::string& key : named.rule_case.patterns) {
            INFO(key);
            CHECK(std::any_of(known.begin(), known.end(), [&](const Pattern& p) { return p.key == key; }));
        }
    }
}

TEST_CASE("every pattern has a rule case, and there are enough of them") {
    const std::vector<Named> cases = all_cases();
    CHECK(cases.size() >= 170);
    for (const Pattern& pattern : patterns()) {
        INFO(pattern.key << " " << pattern.what);
        CHECK(std::any_of(cases.begin(), cases.end(), [&](const Named& named) {
            const std::vector<std::string>& of = named.rule_case.patterns;
            return named.file != "open" && std::find(of.begin(), of.end(), pattern.key) != of.end();
        }));
    }
}

TEST_CASE("the page of rule cases names every case under its patterns") {
    const std::string should = page(all_cases());
    INFO("it should be:\n" << should);
    CHECK(text_of(kPage) == should);
}

TEST_CASE("the page of rule cases is written anew", "[.write-rule-cases]") {
    const std::string should = page(all_cases());
    std::ofstream stream(kPage, std::ios::binary);
    stream << should;
    CHECK(stream.flush().good());
}
