// bench-sound-tie: how surely two clips are tied by their sound, over made recordings with fixed seeds
// (sound_room.h). Prints, for each ratio of what is heard to the microphones' own noise, how many pairs are
// tied and how many of them within a frame; and how many pairs with nothing in common are claimed to have
// something. Figures and how to repeat them: docs/figures.md, 'Ties by sound'. Ends with 1 where a foreign
// pair was tied.
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <map>
#include <string>

#include "bench_sound/sound_room.h"
#include "bench_sound/tied.h"

namespace {

using namespace plumbmark;
using namespace plumbmark::bench;

struct Asked {
    int pairs = 25, foreign = 210;
    std::uint64_t seed = 1;
    bool aac = false, each = false;
    std::filesystem::path folder;
};

const double kRatios[] = {20, 10, 5, 0, -5, -10};

void tell(const char* kind, std::uint64_t seed, const media::SoundTieOutcome& outcome, const Pair& pair) {
    if (!outcome.tie) {
        std::printf("  %s %llu: %s\n", kind, static_cast<unsigned long long>(seed),
                    outcome.sentence.english().c_str());
        return;
    }
    std::printf("  %s %llu: off by %.2f ms, +- %.2f ms, sharpness %.1f, %d stretches\n", kind,
                static_cast<unsigned long long>(seed),
                1e3 * (static_cast<double>(outcome.tie->later().ns) / 1e9 - pair.arrival),
                static_cast<double>(outcome.tie->half_width.ns) / 1e6, outcome.tie->sharpness,
                outcome.tie->stretches);
}

struct Row {
    int pairs = 0, tied = 0, close = 0, held = 0;
    double worst_ms = 0;
};

Row measure(const Asked& asked, Sounds sounds, double ratio) {
    Row row;
    for (int n = 0; n < asked.pairs; ++n) {
        const std::uint64_t seed = asked.seed * 100'000 + static_cast<std::uint64_t>(n);
        const Pair pair = common_pair(sounds, ratio, seed);
        const auto outcome = tied(pair, asked.folder, asked.aac ? Coded::aac : Coded::wave);
        ++row.pairs;
        if (!outcome) {
            std::fprintf(stderr, "%s\n", outcome.error().text().c_str());
            continue;
        }
        if (asked.each) tell(words_for(sounds), seed, *outcome, pair);
        if (!outcome->tie) continue;
        ++row.tied;
        if (within_a_frame(pair, *outcome->tie)) ++row.close;
        if (bound_holds(pair, *outcome->tie)) ++row.held;
        const double off = 1e3 * std::abs(static_cast<double>(outcome->tie->later().ns) / 1e9 - pair.arrival);
        row.worst_ms = std::max(row.worst_ms, off);
    }
    return row;
}

int foreign(const Asked& asked) {
    std::map<std::string, std::pair<int, int>> kinds;
    int claims = 0;
    for (int n = 0; n < asked.foreign; ++n) {
        const std::uint64_t seed = asked.seed * 700'000 + static_cast<std::uint64_t>(n);
        const Pair pair = foreign_pair(seed);
        const auto outcome = tied(pair, asked.folder, asked.aac ? Coded::aac : Coded::wave);
        if (!outcome) {
            std::fprintf(stderr, "%s\n", outcome.error().text().c_str());
            continue;
        }
        if (asked.each || outcome->tie) tell(pair.kind.c_str(), seed, *outcome, pair);
        auto& [pairs, claimed] = kinds[pair.kind];
        ++pairs;
        claimed += outcome->tie ? 1 : 0;
        claims += outcome->tie ? 1 : 0;
    }
    std::printf("\n| nothing in common | pairs | claimed |\n|---|---|---|\n");
    for (const auto& [kind, counts] : kinds)
        std::printf("| %s | %d | %d |\n", kind.c_str(), counts.first, counts.second);
    return claims;
}

Asked read(int argc, char** argv) {
    Asked asked;
    for (int i = 1; i < argc; ++i) {
        const auto is = [&](const char* name) { return std::strcmp(argv[i], name) == 0; };
        if (is("--aac")) asked.aac = true;
        if (is("--each")) asked.each = true;
        if (i + 1 == argc) break;
        if (is("--pairs")) asked.pairs = std::atoi(argv[i + 1]);
        if (is("--foreign")) asked.foreign = std::atoi(argv[i + 1]);
        if (is("--seed")) asked.seed = static_cast<std::uint64_t>(std::atoll(argv[i + 1]));
    }
    asked.folder = std::filesystem::temp_directory_path() / ("bench-sound-tie-" + std::to_string(getpid()));
    std::filesystem::create_directories(asked.folder);
    return asked;
}

}  // namespace

int main(int argc, char** argv) {
    std::setvbuf(stdout, nullptr, _IOLBF, 0);  // a long run is looked at while it goes on
    const Asked asked = read(argc, argv);
    std::printf(
        "| SNR | sounds | pairs | tied | within 1/60 s | bound holds | furthest off "
        "|\n|---|---|---|---|---|---|---|\n");
    for (const double ratio : kRatios) {
        for (const Sounds sounds : kAllSounds) {
            if (asked.pairs == 0) break;
            const Row row = measure(asked, sounds, ratio);
            std::printf("| %+.0f dB | %s | %d | %d | %d | %d | %.1f ms |\n", ratio, words_for(sounds),
                        row.pairs, row.tied, row.close, row.held, row.worst_ms);
            std::fflush(stdout);
        }
    }
    const int claims = foreign(asked);
    std::error_code ignored;
    std::filesystem::remove_all(asked.folder, ignored);
    return claims == 0 ? 0 : 1;
}
