#include "ruling/work_ledger.h"

#include <cstdio>
#include <fstream>
#include <map>
#include <memory>
#include <stdexcept>

#include "bench_ruling/reviews.h"
#include "oracle/random_case.h"
#include "ruling/case_file.h"
#include "support/test_places.h"

namespace plumbmark::test {
namespace {

constexpr std::uint64_t kSeeds = 600;
/// Random reviews that take more are left out of the ledger, so that it is quick.
constexpr std::int64_t kMostStates = 3'000;

ruling::Settings verdicts_only(ruling::Settings settings) {
    settings.explain = settings.sentences = false;
    return settings;
}

void add_cases(std::vector<WorkReview>& reviews) {
    for (CaseFile& file : case_files()) {
        if (file.name == "open") continue;
        for (RuleCase& one : file.cases) {
            one.settings = verdicts_only(one.settings);
            const auto kept = std::make_shared<RuleCase>(std::move(one));
            reviews.push_back({file.name + ": " + kept->title, [kept] { return test::rule(*kept); }});
        }
    }
}

void add_bench(std::vector<WorkReview>& reviews) {
    const auto add = [&](const std::string& name, bench::Review review) {
        const auto kept = std::make_shared<bench::Review>(std::move(review));
        reviews.push_back({"bench: " + name, [kept] {
                               return ruling::rule_run(kept->book, kept->evidence, verdicts_only({}));
                           }});
    };
    add("twelve marks", bench::twelve_marks());
    add("a run of one station", bench::run_of(1, 0));
    add("a run of ten stations", bench::run_of(10, 3));
    add("two hundred marks on four clips", bench::two_hundred_marks_on_four_clips());
    add("eight touches in one bracket", bench::overlapping(8));
}

void add_random(std::vector<WorkReview>& reviews) {
    ruling::Settings settings = verdicts_only({});
    settings.budget_states = kMostStates;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
        reviews.push_back({"seed " + std::to_string(seed), [seed, settings] {
                               const oracle::Case review = oracle::random_case(seed);
                               return ruling::rule_run(review.book, review.evidence, settings);
                           }});
    }
}

bool takes_more(const ruling::WorkDone& is, const ruling::WorkDone& was) {
    return is.states > was.states || is.zones > was.zones || is.steps > was.steps;
}

std::string change(const LedgerEntry& was, const ruling::WorkDone& is) {
    return ledger_line(was.name, is) + "\n  was: " + ledger_line(was.name, was.work);
}

}  // namespace

std::vector<WorkReview> work_reviews() {
    std::vector<WorkReview> reviews;
    add_cases(reviews);
    add_bench(reviews);
    add_random(reviews);
    return reviews;
}

std::string ledger_line(const std::string& name, const ruling::WorkDone& work) {
    return std::to_string(work.states) + " states, " + std::to_string(work.zones) + " zones, " +
           std::to_string(work.steps) + " steps: " + name;
}

std::string ledger_path() {
    return (test::source_folder() / "tests/ruling/work-ledger.txt").string();
}

std::vector<LedgerEntry> read_ledger() {
    std::ifstream stream(ledger_path());
    if (!stream) throw std::runtime_error(ledger_path() + " cannot be read");
    std::vector<LedgerEntry> entries;
    for (std::string line; std::getline(stream, line);) {
        if (line.empty() || line[0] == '#') continue;
        long long states = 0, zones = 0, steps = 0;
        int name_at = 0;
        const int read = std::sscanf(line.c_str(), "%lld states, %lld zones, %lld steps: %n", &states, &zones,
                                     &steps, &name_at);
        if (read != 3 || name_at == 0) throw std::runtime_error("the ledger of work says '" + line + "'");
        entries.push_back({line.substr(static_cast<std::size_t>(name_at)), {states, zones, steps}});
    }
    return entries;
}

WorkDifference compare_with_ledger(bool first_only) {
    std::map<std::string, WorkReview> reviews;
    for (WorkReview& review : work_reviews())
        reviews.emplace(review.name, review);
    WorkDifference difference;
    for (const LedgerEntry& entry : read_ledger()) {
        if (first_only && !difference.more.empty()) break;
        const auto found = reviews.find(entry.name);
        if (found == reviews.end()) {
            difference.more.push_back("no review has this name: " + entry.name);
            continue;
        }
        const auto ruled = found->second.rule();
        if (!ruled.ok())
            difference.more.push_back(entry.name + ": refused, " + ruled.error().text());
        else if (takes_more(ruled->work, entry.work))
            difference.more.push_back(change(entry, ruled->work));
        else if (ruled->work != entry.work)
            difference.fewer.push_back(change(entry, ruled->work));
    }
    return difference;
}

}  // namespace plumbmark::test
