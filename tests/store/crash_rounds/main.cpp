// crash-rounds: kills the program and takes disks away from it, again and again, and looks whether all that
// was confirmed is there afterwards. What it does and what it found: docs/figures.md, 'A record that
// survives'.
#include <fmt/format.h>

#include <charconv>
#include <cstdio>
#include <random>
#include <string>

#include "store/crash_rounds/round.h"

namespace {

using namespace plumbmark;

struct Wish {
    std::uint64_t rounds = 100;
    std::uint64_t seed = std::random_device{}();
    std::string keep;  ///< the folder that takes a lost file as the fault left it
};

bool read(int count, char** words, Wish& wish) {
    for (int i = 1; i + 1 < count; i += 2) {
        const std::string name = words[i];
        const std::string value = words[i + 1];
        if (name == "--keep") {
            wish.keep = value;
            continue;
        }
        std::uint64_t number = 0;
        const auto end = std::from_chars(value.data(), value.data() + value.size(), number);
        if (end.ec != std::errc{} || end.ptr != value.data() + value.size()) return false;
        if (name == "--rounds")
            wish.rounds = number;
        else if (name == "--seed")
            wish.seed = number;
        else
            return false;
    }
    return count % 2 == 1;
}

void print(const test::Tallies& tallies) {
    fmt::print("{:<22} {:>7} {:>10} {:>10} {:>9} {:>13} {:>6} {:>8}\n", "fault", "times", "confirmed",
               "found", "one more", "half written", "told", "went on");
    const auto line = [](const char* words, const test::Tally& its) {
        fmt::print("{:<22} {:>7} {:>10} {:>10} {:>9} {:>13} {:>6} {:>8}\n", words, its.hits, its.confirmed,
                   its.found, its.one_more, its.half_written, its.told, its.went_on);
    };
    test::Tally all;
    for (std::size_t i = 0; i < tallies.size(); ++i) {
        const test::Tally& its = tallies[i];
        line(test::hit_words(static_cast<test::Hit>(i)), its);
        all.hits += its.hits;
        all.confirmed += its.confirmed;
        all.found += its.found;
        all.one_more += its.one_more;
        all.half_written += its.half_written;
        all.told += its.told;
        all.went_on += its.went_on;
    }
    line("all", all);
}

}  // namespace

int main(int count, char** words) {
    Wish wish;
    if (!read(count, words, wish)) {
        fmt::print(stderr, "crash-rounds [--rounds N] [--seed S] [--keep FOLDER]\n");
        return 2;
    }
    const test::Places places;
    fmt::print("{} rounds from seed {}; a full disk is {}\n", wish.rounds, wish.seed,
               places.small() ? "a file system of 4 MiB" : "a limit on the file's size");
    std::fflush(stdout);
    test::Tallies tallies{};
    for (std::uint64_t round = 0; round < wish.rounds; ++round) {
        const auto wrong = test::run_round(wish.seed + round, places, tallies, wish.keep);
        if (!wrong) continue;
        print(tallies);
        fmt::print(stderr,
                   "crash-rounds: LOST in round {}: {}\nRepeat it with: crash-rounds --rounds 1 --seed {}\n",
                   round, *wrong, wish.seed + round);
        return 1;
    }
    print(tallies);
    return 0;
}
