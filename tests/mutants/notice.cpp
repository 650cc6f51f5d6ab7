// notice-mutant --cases | --work | --answers FILE | --learn FILE FROM COUNT
//
// Rules the rule cases, or the random reviews of FILE, and stops at the first that comes out otherwise,
// saying which; exit code 1. --work: at the first that takes more work than the ledger says. With
// PLUMBMARK_MUTANT=N the engine is mutant N. --learn writes FILE: the answers of the plain judge, which takes
// long, to the reviews of these seeds that it can enumerate and that the engine rules within a moment.
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "oracle/compare.h"
#include "oracle/random_case.h"
#include "ruling/case_check.h"
#include "ruling/work_ledger.h"

using namespace plumbmark;

namespace {

bool a_case_notices() {
    for (test::CaseFile& file : test::case_files()) {
        if (file.name == "open") continue;
        for (test::RuleCase& one : file.cases) {
            one.settings.explain = one.split.has_value();  // explanations take time
            if (test::difference(one).empty()) continue;
            std::printf("case: %s: %s\n", file.name.c_str(), one.title.c_str());
            return true;
        }
    }
    return false;
}

bool the_ledger_notices() {
    const test::WorkDifference difference = test::compare_with_ledger(true);
    if (difference.more.empty()) return false;
    std::printf("more work: %s\n", difference.more.front().c_str());
    return true;
}

std::string answer_of(const base::Result<ruling::RunRuling>& ruled) {
    if (!ruled.ok()) return "refused " + std::to_string(static_cast<int>(ruled.error().category));
    std::string text;
    for (const ruling::StationRuling& station : ruled.value().stations) {
        text += std::string(ruling::verdict_key(station.verdict)) + (station.if_reached ? " if-reached" : "");
        for (const ruling::Clause clause : station.failing_clauses)
            text += std::string(" ") + ruling::clause_key(clause);
        text += "; ";
    }
    for (const ruling::RunResult& result : ruled.value().results)
        text += std::to_string(result.cleared) + (result.full_clear ? "-full/" : "/") +
                std::to_string(result.points) + " ";
    return text;
}

std::string engine_says(std::uint64_t seed) {
    const oracle::Case review = oracle::random_case(seed);
    ruling::Settings settings;
    settings.drift_parts_per_million = 0;  // the grid of the plain judge has none
    settings.explain = false;
    return answer_of(ruling::rule_run(review.book, review.evidence, settings));
}

// The engine's own words, kept where the plain judge agrees with them.
int learn(const char* file, std::uint64_t from, std::uint64_t count) {
    std::ofstream stream(file);
    for (std::uint64_t seed = from; seed < from + count; ++seed) {
        const auto begin = std::chrono::steady_clock::now();
        const std::string answer = engine_says(seed);
        if (std::chrono::steady_clock::now() - begin > std::chrono::milliseconds(15)) continue;
        const oracle::Comparison comparison = oracle::compare(oracle::random_case(seed));
        if (comparison.agree && comparison.skipped == oracle::Skipped::no)
            stream << seed << " " << answer << "\n" << std::flush;
    }
    return stream.good() ? 0 : 2;
}

bool an_answer_notices(const char* file) {
    std::ifstream stream(file);
    if (!stream) throw std::runtime_error(std::string(file) + " cannot be read");
    for (std::string line; std::getline(stream, line);) {
        std::istringstream words(line);
        std::uint64_t seed = 0;
        words >> seed;
        if (engine_says(seed) == line.substr(std::to_string(seed).size() + 1)) continue;
        std::printf("plain judge: seed %llu\n", static_cast<unsigned long long>(seed));
        return true;
    }
    return false;
}

int run(int argc, char** argv) {
    const std::string what = argc > 1 ? argv[1] : "";
    if (what == "--cases" && argc == 2) return a_case_notices() ? 1 : 0;
    if (what == "--work" && argc == 2) return the_ledger_notices() ? 1 : 0;
    if (what == "--answers" && argc == 3) return an_answer_notices(argv[2]) ? 1 : 0;
    if (what == "--learn" && argc == 5)
        return learn(argv[2], std::strtoull(argv[3], nullptr, 10), std::strtoull(argv[4], nullptr, 10));
    std::fprintf(stderr,
                 "usage: notice-mutant --cases | --work | --answers FILE | --learn FILE FROM COUNT\n");
    return 2;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        std::printf("thrown: %s\n", error.what());
        return 1;
    }
}
