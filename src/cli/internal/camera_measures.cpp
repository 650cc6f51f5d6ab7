#include "cli/internal/camera_measures.h"

#include <fmt/format.h>

#include <cmath>

#include "review/measures.h"

namespace plumbmark::cli {
namespace {

AnsweredMeasure answer(const sight::CalibratedCamera& camera, const std::vector<AskedPlane>& planes,
                       const AskedMeasure& asked) {
    AnsweredMeasure out{asked.name, {}, {}, {}, {}};
    const sight::UprightPlane* plane = nullptr;
    if (asked.plane) {
        plane = &planes[*asked.plane].plane;
        out.plane = planes[*asked.plane].name;
    }
    if (const auto* level = std::get_if<sight::Level>(&asked.where)) {
        auto found = sight::on_level(camera, asked.at, *level, plane);
        if (found) {
            out.position = found->position;
            out.distance = found->distance;
        } else {
            out.refused = found.error();
        }
        return out;
    }
    auto found = sight::in_the_air(camera, asked.at, *plane, std::get<sight::Space>(asked.where));
    if (found)
        out.distance = *found;
    else
        out.refused = found.error();
    return out;
}

std::string position_words(const sight::Position& position) {
    const auto mm = [&](std::size_t k) { return 1000 * std::sqrt(position.covariance[k][k]); };
    return fmt::format(
        "x {:.3f} m, y {:.3f} m, z {:.3f} m (standard deviations {:.1f}, {:.1f} and {:.1f} mm)",
        position.at.x, position.at.y, position.at.z, mm(0), mm(1), mm(2));
}

}  // namespace

std::vector<AnsweredMeasure> answers(const sight::CalibratedCamera& camera,
                                     const std::vector<AskedPlane>& planes,
                                     const std::vector<AskedMeasure>& asked) {
    std::vector<AnsweredMeasure> out;
    for (const AskedMeasure& one : asked)
        out.push_back(answer(camera, planes, one));
    return out;
}

std::string told(const std::vector<AnsweredMeasure>& answered) {
    std::string text;
    for (const AnsweredMeasure& one : answered) {
        std::string says;
        if (one.position) says = position_words(*one.position);
        if (one.distance)
            says += (says.empty() ? "" : "; ") + review::distance_words(*one.distance, one.plane).english() +
                    fmt::format(" (the sight is {:.1f}° off the plane{})", one.distance->angle,
                                one.distance->by_draws ? "; by draws" : "");
        text += one.refused ? fmt::format("{}: not measured. {}\n", one.name, one.refused->text())
                            : fmt::format("{}: {}.\n", one.name, says);
    }
    return text;
}

}  // namespace plumbmark::cli
