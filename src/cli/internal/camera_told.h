// What 'plumbmark camera' says of a camera that was found: on the terminal, and as JSON.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cli/internal/camera_measures.h"
#include "sight/calibrate.h"
#include "sight/uncertain.h"

namespace plumbmark::cli {

/// What was drawn out of the covariance, of where it stands along x, y, z (metres) and of its focal length
/// (pixels), in this order.
struct DrawnCameras {
    static constexpr std::size_t kResults = 4;
    static constexpr double kProbability = 0.95;
    struct One {
        double low = 0, high = 0;
        bool agrees = false;  ///< the standard deviation tells the same (JCGM 101:2008, section 8)
    };
    std::vector<One> results;
    long count = 0, undefined = 0;
};

struct FoundCamera {
    std::string points;  ///< the file
    const sight::Sightings& sightings;
    const sight::CalibratedCamera& camera;
    std::optional<DrawnCameras> drawn;
    std::vector<AnsweredMeasure> measures;
};

/// How often measures that are as good as stated strain as much or more: the upper tail of the chi-square
/// distribution (M. Abramowitz and I. Stegun, 'Handbook of Mathematical Functions', 1964, 26.4.4 and 26.4.5).
/// Nothing without redundancy.
[[nodiscard]] std::optional<double> strain_chance(const sight::CalibratedCamera& camera);

/// Whether there is something to look at: a suspect, or measures that do not go together.
[[nodiscard]] bool has_findings(const sight::CalibratedCamera& camera);

/// Whether its covariance has been multiplied by its strain.
[[nodiscard]] bool is_widened(const sight::CalibratedCamera& camera);
/// Of one of CalibratedCamera's unknowns.
[[nodiscard]] double own_standard(const sight::CalibratedCamera& camera, std::size_t unknown);
/// Where a place was pointed at; null: it is hidden.
[[nodiscard]] const sight::Pixel* seen_of(const sight::Sightings& sightings, std::size_t place);
/// Whether the suspect and another one were pointed at by each other's name.
[[nodiscard]] bool exchanged(const FoundCamera& found, const sight::Suspect& suspect);
/// "'coil deck, corner 3' is 41.0 px off by what the others say; ..."
[[nodiscard]] std::string sentence_of(const FoundCamera& found, const sight::Suspect& suspect);

[[nodiscard]] std::string told_as_text(const FoundCamera& found);
/// "plumbmark-camera/1", docs/camera-points.md.
[[nodiscard]] std::string told_as_json(const FoundCamera& found);

}  // namespace plumbmark::cli
