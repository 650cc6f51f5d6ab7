// bench-point: how well a single point is followed, and whether the stated standard deviations hold. Prints
// the table of docs/following.md.
#include <cstdio>
#include <cstdlib>
#include <string>

#include "bench_follow/compressed_clip.h"
#include "bench_follow/point_takes.h"

using namespace plumbmark;

namespace {

void both_lines(const std::string& name, const point_takes::Both& both) {
    point_takes::print(name, "shifted", both.shifted);
    point_takes::print(name, "affine", both.affine);
}

point_takes::Both run_compressed(const point_takes::Kind& kind, int quality, int scenes, std::uint32_t more) {
    point_takes::Both both;
    for (int i = 0; i < scenes; ++i) {
        const point_takes::Made made =
            point_takes::make(kind, static_cast<std::uint32_t>(i) * 31U + 1U + more);
        const auto pictures = compressed_clip::through(
            made.scene.pictures(-point_takes::kEachWay, point_takes::kEachWay), quality);
        if (pictures.size() != 2 * point_takes::kEachWay + 1) return {};
        point_takes::follow_both(made, pictures, follow::kCompression, both);
    }
    return both;
}

}  // namespace

/// bench-point [SCENES [SEED]]: scenes a line, 60 where it is not said; the seed is added to all others.
int main(int count, char** arguments) {
    const int scenes = count > 1 ? std::max(2, std::atoi(arguments[1])) : 60;
    const auto more = static_cast<std::uint32_t>(count > 2 ? std::max(0, std::atoi(arguments[2])) : 0);
    std::printf(
        "| pictures | patch | places | median px | 95 %% px | lost | within stated 95 %% | x / sd | y / sd | "
        "ms |\n"
        "|---|---|---|---|---|---|---|---|---|---|\n");
    point_takes::Both all;
    for (const point_takes::Kind& kind : point_takes::kinds()) {
        const point_takes::Both both = point_takes::run(kind, scenes, more);
        both_lines(kind.name, both);
        if (kind.edge) continue;
        all.shifted.add(both.shifted);
        all.affine.add(both.affine);
    }
    both_lines("all of these but the edge", all);
    for (const point_takes::Kind& kind : point_takes::kinds())
        for (const int quality : {18, 23, 30})
            if (kind.compressed)
                both_lines(kind.name + ", H.264 of quality " + std::to_string(quality),
                           run_compressed(kind, quality, scenes, more));
    return 0;
}
