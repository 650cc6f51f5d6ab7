// What a points file asks to be measured through its camera, and the answers.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/result.h"
#include "sight/measure.h"

namespace plumbmark::cli {

struct AskedPlane {
    std::string name;
    sight::UprightPlane plane;
};

struct AskedMeasure {
    std::string name;
    sight::Pointing at;
    std::optional<std::size_t> plane;                ///< of CameraPoints::planes
    std::variant<sight::Level, sight::Space> where;  ///< on a level surface, or in the air (with a plane)
};

/// An answer, or why there is none.
struct AnsweredMeasure {
    std::string name, plane;  ///< the plane's name; empty: none was asked for
    std::optional<sight::Position> position;
    std::optional<sight::Distance> distance;
    std::optional<base::Error> refused;
};
/// In the order of the file. Any thread; some tens of milliseconds each.
[[nodiscard]] std::vector<AnsweredMeasure> answers(const sight::CalibratedCamera& camera,
                                                   const std::vector<AskedPlane>& planes,
                                                   const std::vector<AskedMeasure>& asked);

/// One line each: "heel: x 4.112 m, y 0.021 m, z 0.600 m (standard deviations 4.1, 9.0 and 3.2 mm); 41 mm
/// past the front plane, 95 % between 22 mm past and 60 mm past."
[[nodiscard]] std::string told(const std::vector<AnsweredMeasure>& answered);

}  // namespace plumbmark::cli
