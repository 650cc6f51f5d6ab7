#include "cli/internal/camera_told.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace plumbmark::cli {
namespace {

using sight::CalibratedCamera;

/// The risk at which calibrate() calls measures that are right wrong.
constexpr double kRisk = 0.001;

std::size_t place_of(const FoundCamera& found, const sight::Suspect& suspect) {
    return found.sightings.points[suspect.residual].place;
}

}  // namespace

double own_standard(const CalibratedCamera& camera, std::size_t unknown) {
    return std::sqrt(std::max(0.0, camera.covariance[unknown * camera.unknowns() + unknown]));
}

std::optional<double> strain_chance(const CalibratedCamera& camera) {
    if (camera.redundancy < 1) return std::nullopt;
    const double half = camera.strain * camera.redundancy / 2;
    if (!(half > 0)) return 1;
    const bool odd = camera.redundancy % 2 != 0;
    double sum = odd ? std::erfc(std::sqrt(half)) : 0;
    // Each term by its logarithm: of a large strain the powers alone are beyond any number.
    for (int k = 0; k < camera.redundancy / 2; ++k) {
        const double power = k + (odd ? 0.5 : 0);
        sum += std::exp(power * std::log(half) - std::lgamma(power + 1) - half);
    }
    return sum;
}

bool has_findings(const CalibratedCamera& camera) {
    return !camera.suspects.empty() || is_widened(camera);
}

bool is_widened(const CalibratedCamera& camera) {
    const auto chance = strain_chance(camera);
    return chance && *chance < kRisk;
}

const sight::Pixel* seen_of(const sight::Sightings& sightings, std::size_t place) {
    for (const sight::SeenPlace& one : sightings.points)
        if (one.place == place) return &one.at;
    return nullptr;
}

bool exchanged(const FoundCamera& found, const sight::Suspect& suspect) {
    const auto& all = found.camera.suspects;
    return suspect.instead && std::any_of(all.begin(), all.end(), [&](const sight::Suspect& other) {
               return place_of(found, other) == *suspect.instead && other.instead == place_of(found, suspect);
           });
}

std::string sentence_of(const FoundCamera& found, const sight::Suspect& suspect) {
    const std::string& name = found.camera.residuals[suspect.residual].name;
    const std::string off =
        fmt::format("'{}' is {:.1f} px off by what the others say", name, suspect.pixels_alone);
    if (!suspect.instead) return off + "; was it pointed at where it is, and are its measures right?";
    const std::string& instead = found.camera.places[*suspect.instead].name;
    return fmt::format("{}; '{}' would be seen there: {}?", off, instead,
                       exchanged(found, suspect) ? "were they exchanged" : "was that one pointed at");
}

}  // namespace plumbmark::cli
