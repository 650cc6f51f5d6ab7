// ruling-oracle [--cases N] [--seed S] [--show SEED] [--alone] [--most-shown N]: rules random small reviews
// with the engine and with the plain enumeration of worlds. Prints how the cases were spread; exits 1 at any
// disagreement, after printing each as a small case. --show prints the review of one seed and the oracle's
// worlds; --alone leaves the engine out, to look at the spread of the cases.
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>

#include "oracle/case_text.h"
#include "oracle/compare.h"
#include "oracle/random_case.h"

namespace {

using namespace plumbmark::oracle;

struct Arguments {
    std::uint64_t cases = 2'000;
    std::uint64_t seed = 1;
    int most_shown = 3;
    bool show = false;
    bool alone = false;
    bool right = true;
};

Arguments read(int argc, char** argv) {
    Arguments result;
    for (int i = 1; i < argc; ++i) {
        const std::string name = argv[i];
        if (name == "--alone") {
            result.alone = true;
            continue;
        }
        if (i + 1 == argc) return result.right = false, result;
        const std::uint64_t value = std::strtoull(argv[++i], nullptr, 10);
        if (name == "--cases") {
            result.cases = value;
        } else if (name == "--seed") {
            result.seed = value;
        } else if (name == "--most-shown") {
            result.most_shown = static_cast<int>(value);
        } else if (name == "--show") {
            result.seed = value;
            result.show = true;
        } else {
            result.right = false;
        }
    }
    return result;
}

void show_disagreement(std::uint64_t seed, const Case& review) {
    std::printf("DISAGREEMENT, seed %llu\n%s\n", static_cast<unsigned long long>(seed),
                disagreement_text(review).c_str());
    std::fflush(stdout);
}

Comparison alone(const Case& review, bool tell = false) {
    Comparison result;
    result.answer = enumerate(review, {.tell = tell});
    result.skipped = result.answer.too_large;
    return result;
}

}  // namespace

int main(int argc, char** argv) {
    const Arguments arguments = read(argc, argv);
    if (!arguments.right) {
        std::fprintf(
            stderr, "usage: ruling-oracle [--cases N] [--seed S] [--most-shown N] [--alone] | --show SEED\n");
        return 2;
    }
    if (arguments.show) {
        const Case review = random_case(arguments.seed);
        const Comparison comparison = arguments.alone ? alone(review, true) : compare(review, {.tell = true});
        std::printf("%s%s%s", describe(review).c_str(), comparison.difference.c_str(),
                    describe(review, comparison.answer).c_str());
        return comparison.agree ? 0 : 1;
    }
    Spread spread;
    for (std::uint64_t i = 0; i < arguments.cases; ++i) {
        const std::uint64_t seed = arguments.seed + i;
        const Case review = random_case(seed);
        const Comparison comparison = arguments.alone ? alone(review) : compare(review);
        spread.count(review, comparison);
        if (!comparison.agree && spread.disagreements <= arguments.most_shown)
            show_disagreement(seed, review);
    }
    std::printf("seeds %llu to %llu: %s", static_cast<unsigned long long>(arguments.seed),
                static_cast<unsigned long long>(arguments.seed + arguments.cases - 1), spread.text().c_str());
    return spread.disagreements == 0 ? 0 : 1;
}
