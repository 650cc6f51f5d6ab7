// bench-follow: how well drawings are found again. Prints the table of docs/following.md.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "bench_follow/shaken.h"
#include "support/test_places.h"

using namespace plumbmark;

namespace {

void head() {
    std::printf(
        "| pictures | shapes | median px | 95 %% px | largest px | lost | > 5 px | within stated | useless "
        "called good | ms a picture |\n"
        "|---|---|---|---|---|---|---|---|---|---|\n");
}

void line(const std::string& name, const shaken::Tally& t) {
    double sum = 0;
    for (const double ms : t.milliseconds)
        sum += ms;
    const int all = std::max(1, t.fitting + t.lost);
    std::printf("| %s | %d | %.2f | %.2f | %.2f | %.1f %% | %d | %.0f %% | %d of %d | %.0f |\n", name.c_str(),
                all, t.percentile(0.5), t.percentile(0.95), t.percentile(1), 100.0 * t.lost / all, t.wrong,
                100.0 * t.covered / std::max(1, t.fitting), t.bad_called_good, t.bad,
                sum / std::max<std::size_t>(1, t.milliseconds.size()));
    std::fflush(stdout);
}

}  // namespace

/// bench-follow [FRAMES [SEED]]: pictures per series, 120 where it is not said; the seed is added to all
/// others.
int main(int count, char** arguments) {
    const int frames = count > 1 ? std::max(8, std::atoi(arguments[1])) : 120;
    const auto more = static_cast<std::uint32_t>(count > 2 ? std::max(0, std::atoi(arguments[2])) : 0);
    head();
    for (const double sway : {0.3, 1.0, 2.0}) {
        shaken::Tally tally;
        for (const std::uint32_t seed : {1U, 2U, 3U})
            shaken::run_rendered({seed + more, frames, sway, 0.25, true}, tally);
        char name[64];
        std::snprintf(name, sizeof name, "rendered, sway %.1f", sway);
        line(name, tally);
    }
    for (const char* camera : {"cam01", "cam02", "cam03", "cam04"}) {
        const std::string path =
            (test::shared_folder() / "clips/motion/gym-four-cameras/").string() + camera + ".mp4";
        const std::vector<shaken::Luma> film = shaken::frames_of(path, frames, 1);
        if (film.empty()) {
            std::printf("skipped: %s is not there\n", camera);
            continue;
        }
        shaken::Tally shaken, as_filmed;
        shaken::run_crops(film, {5 + more, frames, 1, 0, true}, shaken);
        line(std::string(camera) + ", shaken", shaken);
        shaken::run_as_filmed(film, as_filmed);
        line(std::string(camera) + ", as filmed", as_filmed);
        std::printf("  (%d of %zu pictures unmoved)\n", as_filmed.unmoved, as_filmed.milliseconds.size());
    }
    return 0;
}
