// plane-trials [--setups N] [--seed S] [--jobs J] [--draws D] [--only QUESTION]... [--json] | --show SEED:
// made-up stations and cameras with known truth, put to src/sight; how often its intervals hold the truth,
// how often its words are wrong and how exact its crossings are, as curves by the camera's angle to the plane
// (docs/figures-planes.md). Progress goes to stderr; Ctrl-C ends the run with what was judged so far. --show
// prints what came of one set-up. --draws: of src/sight's first look at each question; fewer are quicker.
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>

#include "trials/run.h"

namespace {

using namespace plumbmark::trials;
using Clock = std::chrono::steady_clock;

struct Arguments {
    Effort effort;
    bool json = false, show = false, right = true;
};

std::optional<Question> question_of(const std::string& word) {
    const char* words[kQuestions]{
        "contact", "air", "two", "deck-crossing", "air-crossing", "two-crossing", "followed-crossing"};
    for (std::size_t i = 0; i < kQuestions; ++i)
        if (word == words[i]) return static_cast<Question>(i);
    return std::nullopt;
}

Arguments read(int argc, char** argv) {
    Arguments result;
    for (int i = 1; i < argc; ++i) {
        const std::string name = argv[i];
        if (name == "--json") {
            result.json = true;
            continue;
        }
        if (i + 1 == argc) return result.right = false, result;
        if (name == "--only") {
            const auto question = question_of(argv[++i]);
            if (!question) return result.right = false, result;
            result.effort.only.push_back(*question);
            continue;
        }
        char* rest = nullptr;
        const std::uint64_t value = std::strtoull(argv[++i], &rest, 10);
        result.right = result.right && rest != argv[i] && *rest == '\0';
        if (name == "--setups") {
            result.effort.setups = value;
        } else if (name == "--seed") {
            result.effort.first = value;
        } else if (name == "--jobs" && value >= 1 && value <= 256) {
            result.effort.jobs = static_cast<int>(value);
        } else if (name == "--draws" && value >= 1'000 && value <= 1'000'000) {
            result.effort.draws = static_cast<int>(value);
        } else if (name == "--show") {
            result.effort.first = value;
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

void show(std::uint64_t seed) {
    const Setup setup = draw_setup(seed);
    std::printf("%s%s, %zu places\n", name_of(setup.part).c_str(),
                setup.rendered ? ", found in drawn patches" : "", setup.places.size());
    for (const Outcome& one : judged(setup)) {
        std::printf("%s at %.1f degrees: ", name_of(one.question).c_str(), one.angle);
        if (!one.refusal.empty()) {
            std::printf("%s\n", one.refusal.c_str());
            continue;
        }
        const char* unit = is_crossing(one.question) ? "frames" : "m";
        std::printf("off by %.4f %s, standard deviation %.4f, half width %.4f, 95 %% %s, 99.9 %% %s%s%s\n",
                    one.error, unit, one.standard, one.half_width, one.likely_holds ? "holds" : "misses",
                    one.sure_holds ? "holds" : "misses", one.by_draws ? ", by draws" : "",
                    one.suspicious ? ", said not to fit together" : "");
    }
}

}  // namespace

int main(int argc, char** argv) {
    const Arguments arguments = read(argc, argv);
    if (!arguments.right) {
        std::fprintf(
            stderr,
            "usage: plane-trials [--setups N] [--seed S] [--jobs J] [--draws D] [--only QUESTION]... "
            "[--json] | "
            "--show SEED\nquestions: contact, air, two, deck-crossing, air-crossing, two-crossing, "
            "followed-crossing\n");
        return 2;
    }
    if (arguments.show) return show(arguments.effort.first), 0;
    std::signal(SIGINT, stop);
    const Clock::time_point begun = Clock::now();
    Clock::time_point last = begun;
    const auto told = [&](std::size_t done) {
        if (Clock::now() - last < std::chrono::seconds(2)) return;
        last = Clock::now();
        const double seconds = std::chrono::duration<double>(last - begun).count();
        std::fprintf(stderr, "\r%zu of %zu set-ups, %.1f a second ", done, arguments.effort.setups,
                     static_cast<double>(done) / seconds);
    };
    const Trials trials = run(arguments.effort, &stopped, told);
    if (last != begun) std::fprintf(stderr, "\n");
    std::printf("%s", (arguments.json ? json_of(trials) : text_of(trials)).c_str());
    return 0;
}
