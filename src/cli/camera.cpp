// plumbmark camera POINTS: where a camera stands, from places whose measures are known.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "cli/internal/camera_points.h"
#include "cli/internal/camera_told.h"
#include "cli/internal/interrupt.h"
#include "sight/uncertain.h"

namespace plumbmark::cli {
namespace {

constexpr std::size_t kMostBytes = 256 * 1024;
constexpr std::uint64_t kSeed = 9;  ///< any: the draws are the same each time

struct CameraCall {
    std::string points;
    int draws = 0;
    bool json = false;
};

/// The camera's own part of the covariance, about no change at all.
sight::Quantities changes_of(const sight::CalibratedCamera& found) {
    constexpr std::size_t kOwn = sight::CalibratedCamera::kOwn;
    sight::Quantities changes;
    changes.covariance.resize(kOwn * kOwn);
    for (std::size_t i = 0; i < kOwn; ++i) {
        for (std::size_t j = 0; j < kOwn; ++j)
            changes.covariance[i * kOwn + j] = found.covariance[i * found.unknowns() + j];
        changes.each.push_back({0, std::sqrt(std::max(0.0, changes.covariance[i * kOwn + i]))});
    }
    return changes;
}

base::Result<DrawnCameras> drawn_of(const sight::CalibratedCamera& found, int count,
                                    const std::stop_token& stop) {
    const sight::Model model = [&](const std::vector<double>& change) -> std::optional<std::vector<double>> {
        if (stop.stop_requested()) return std::nullopt;
        const sight::Camera camera = moved(found.camera, change.data());
        const sight::Vec3 at = centre(camera);
        return std::vector<double>{at.x, at.y, at.z, camera.lens.fx};
    };
    const sight::Quantities changes = changes_of(found);
    const auto law = first_order(model, changes);
    const base::Error stopped{base::Category::cancelled, "The draws were stopped.", {}};
    if (!law) return stopped;
    const sight::Drawn drawn = draw(model, changes, count, kSeed);
    if (stop.stop_requested()) return stopped;
    DrawnCameras out;
    out.count = count;
    out.undefined = drawn.undefined();
    for (std::size_t k = 0; k < DrawnCameras::kResults; ++k) {
        const auto interval = drawn.interval(k, DrawnCameras::kProbability);
        out.results.push_back(
            {interval.low, interval.high, agree(*law, drawn, k, DrawnCameras::kProbability)});
    }
    return out;
}

int run(const CameraCall& call) {
    const base::Result<std::string> text = review::read_file(call.points, kMostBytes);
    if (!text) return complain(text.error());
    const base::Result<CameraPoints> points = read_camera_points(*text, call.points);
    if (!points) return complain(points.error());
    const Interrupt interrupt;
    const auto camera = calibrate(points->sightings, interrupt.token());
    if (!camera) return complain({camera.error().category, camera.error().sentence, call.points});
    FoundCamera found{call.points, points->sightings, *camera, {}, {}};
    if (call.draws > 0) {
        const base::Result<DrawnCameras> drawn = drawn_of(*camera, call.draws, interrupt.token());
        if (!drawn) return complain(drawn.error());
        found.drawn = *drawn;
    }
    found.measures = answers(*camera, points->planes, points->measures);
    fmt::print("{}", call.json ? told_as_json(found) : told_as_text(found));
    return has_findings(*camera) ? kFound : kDone;
}

}  // namespace

void add_camera(CLI::App& program, Action& action) {
    auto call = std::make_shared<CameraCall>();
    CLI::App* command = program.add_subcommand(
        "camera", "Find where a camera stands and what its lens is, from places whose measures are known");
    command
        ->add_option("POINTS", call->points,
                     "The points file: places, their measures, and where they are in a picture "
                     "(docs/camera-points.md)")
        ->required();
    command
        ->add_option("--draws", call->draws,
                     "Draw so many cameras out of the covariance, and say where 95 % of them are")
        ->check(CLI::Range(100, 1'000'000));
    command->add_flag("--json", call->json, "As JSON (docs/camera-points.md)");
    command->callback([call, &action] { action = [call] { return run(*call); }; });
}

}  // namespace plumbmark::cli
