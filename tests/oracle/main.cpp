// ruling-oracle [--cases N] [--seed S] [--jobs N] [--most-shown N] [--rough] [--alone] | --show SEED
// [--rough]: rules random small reviews with the engine and with the plain enumeration of worlds. Progress
// goes to stderr; Ctrl-C ends the run with what was counted so far. Prints how the cases were spread; exits 1
// at any disagreement, after printing each as a small case, the smallest last. --show prints the review of
// one seed and the oracle's worlds; --rough takes more of the hard reviews; --alone leaves the engine out, to
// look at the spread of the cases.
#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "oracle/case_text.h"
#include "oracle/compare.h"
#include "oracle/random_case.h"

namespace {

using namespace plumbmark::oracle;
using Clock = std::chrono::steady_clock;

struct Arguments {
    std::uint64_t cases = 2'000;
    std::uint64_t seed = 1;
    int jobs = 1;
    int most_shown = 3;
    bool show = false;
    bool alone = false;
    Mix mix = kUsual;
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
        if (name == "--rough") {
            result.mix = kRough;
            continue;
        }
        if (i + 1 == argc) return result.right = false, result;
        char* rest = nullptr;
        const std::uint64_t value = std::strtoull(argv[++i], &rest, 10);
        result.right = result.right && rest != argv[i] && *rest == '\0';
        if (name == "--cases") {
            result.cases = value;
        } else if (name == "--seed") {
            result.seed = value;
        } else if (name == "--jobs" && value >= 1 && value <= 256) {
            result.jobs = static_cast<int>(value);
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

std::atomic<bool> stopped{false};

void stop(int) {
    stopped = true;
}

Comparison compared(const Case& review, bool alone, bool tell = false) {
    if (!alone) return compare(review, {.tell = tell});
    Comparison result;
    result.answer = enumerate(review, {.tell = tell});
    if (result.answer.too_large) result.skipped = Skipped::too_large;
    return result;
}

// The cases of one run, shared out one after the other among the threads.
class Run {
  public:
    explicit Run(const Arguments& arguments) : arguments_(arguments), begun_(Clock::now()) {}

    int whole() {
        std::vector<std::thread> threads;
        for (int i = 0; i < arguments_.jobs; ++i)
            threads.emplace_back([this] { work(); });
        for (std::thread& thread : threads)
            thread.join();
        report();
        return spread_.disagreements == 0 ? 0 : 1;
    }

  private:
    void work() {
        while (!stopped) {
            const std::uint64_t index = next_++;
            if (index >= arguments_.cases) return;
            const std::uint64_t seed = arguments_.seed + index;
            const Case review = random_case(seed, arguments_.mix);
            take(seed, review, compared(review, arguments_.alone));
        }
    }

    void take(std::uint64_t seed, const Case& review, const Comparison& comparison) {
        const std::lock_guard<std::mutex> lock(mutex_);
        spread_.count(review, comparison);
        if (!comparison.agree && spread_.disagreements <= arguments_.most_shown) keep(seed, review);
        if (Clock::now() - told_ < std::chrono::seconds(2)) return;
        told_ = Clock::now();
        std::fprintf(stderr, "\r%d cases, %d disagreements, %.0f a second ", spread_.cases,
                     spread_.disagreements, spread_.cases / seconds());
    }

    // Each as soon as it is found; the smallest of all once more at the end.
    void keep(std::uint64_t seed, const Case& review) {
        const std::string text =
            "DISAGREEMENT, seed " + std::to_string(seed) + "\n" + disagreement_text(review) + "\n";
        std::printf("%s", text.c_str());
        std::fflush(stdout);
        if (smallest_.empty() || text.size() < smallest_.size()) smallest_ = text;
    }

    void report() const {
        if (told_ != Clock::time_point{}) std::fprintf(stderr, "\n");
        if (spread_.disagreements > 1 && !smallest_.empty())
            std::printf("the smallest of them:\n%s", smallest_.c_str());
        std::printf("seeds from %llu, %s%s%.2f ms a case\n", static_cast<unsigned long long>(arguments_.seed),
                    stopped ? "stopped: " : "", spread_.text().c_str(),
                    seconds() * 1'000 * arguments_.jobs / std::max(1, spread_.cases));
    }

    [[nodiscard]] double seconds() const {
        return std::chrono::duration<double>(Clock::now() - begun_).count();
    }

    const Arguments& arguments_;
    Clock::time_point begun_;
    Clock::time_point told_;
    std::atomic<std::uint64_t> next_{0};
    std::mutex mutex_;
    Spread spread_;
    std::string smallest_;
};

int show(const Arguments& arguments) {
    const Case review = random_case(arguments.seed, arguments.mix);
    const Comparison comparison = compared(review, arguments.alone, true);
    std::printf("%s%s%s", describe(review).c_str(), comparison.difference.c_str(),
                describe(review, comparison.answer).c_str());
    return comparison.agree ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
    const Arguments arguments = read(argc, argv);
    if (!arguments.right) {
        std::fprintf(
            stderr,
            "usage: ruling-oracle [--cases N] [--seed S] [--jobs N] [--most-shown N] [--rough] [--alone] | "
            "--show SEED [--rough]\n");
        return 2;
    }
    if (arguments.show) return show(arguments);
    std::signal(SIGINT, stop);
    return Run(arguments).whole();
}
