// What saying a text costs: the English way (nothing is looked up) and the way through a catalogue. A
// program, not a test: its figures depend on the machine.
#include <chrono>
#include <cstdio>
#include <string>

#include "desk/internal/say.h"
#include "desk/keys.h"

namespace {

using namespace plumbmark;

/// Nanoseconds for one call, over some two hundred texts of the key table, the best of nine rounds.
template <class Call>
double nanoseconds(const Call& call) {
    const auto& keys = desk::default_keys();
    constexpr int rounds = 9, turns = 2000;
    double best = 1e9;
    for (int round = 0; round < rounds; ++round) {
        const auto before = std::chrono::steady_clock::now();
        for (int turn = 0; turn < turns; ++turn)
            for (const desk::KeyBinding& key : keys)
                call(key.words);
        const std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - before;
        best = std::min(best, took.count() / turns / static_cast<double>(keys.size()));
    }
    return best;
}

}  // namespace

int main() {
    std::size_t said = 0;  // so that nothing is left out
    for (const base::LanguageName& language : base::languages()) {
        if (!base::choose_language(language.code)) return 1;
        const double plain = nanoseconds([&](const char* text) { said += *desk::tr(text) != 0; });
        const double filled =
            nanoseconds([&](const char* text) { said += desk::tr("{} closes this.", text).size(); });
        std::printf(
            "%-8s a text %6.1f ns   with something filled in %6.1f ns   2000 texts of a frame %.3f ms\n",
            language.own_name, plain, filled, 2000 * plain / 1e6);
    }
    return said > 0 ? 0 : 1;
}
