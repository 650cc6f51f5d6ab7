// A camera that was found, as JSON.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/internal/camera_look.h"
#include "cli/internal/camera_told.h"

namespace plumbmark::cli {
namespace {

using Json = nlohmann::ordered_json;
using sight::CalibratedCamera;
using sight::Pixel;
using sight::Vec3;

const char* lens_from(sight::LensKnowledge knowledge) {
    switch (knowledge) {
        case sight::LensKnowledge::measured:
            return "measured";
        case sight::LensKnowledge::focal_length:
            return "focal";
        case sight::LensKnowledge::focal_and_radial:
            break;
    }
    return "focal and radial";
}

Json json_of(Vec3 v) {
    return Json::array({v.x, v.y, v.z});
}
Json json_of(Pixel at) {
    return Json::array({at.x, at.y});
}

Json camera_json(const FoundCamera& found) {
    const CalibratedCamera& camera = found.camera;
    const Look look = look_of(camera);
    Json out{{"centre_m", json_of(centre(camera.camera))},
             {"centre_standard_m", json_of(camera.centre_standard())},
             {"turn", camera.camera.pose.turn},
             {"shift_m", json_of(camera.camera.pose.shift)}};
    out["bearing_deg"] = look.bearing ? Json(*look.bearing) : Json();
    out["elevation_deg"] = look.elevation;
    out["roll_deg"] = look.roll;
    out["direction_standard_deg"] =
        Json{{"sideways", look.sideways}, {"up_down", look.up_down}, {"roll", look.around}};
    out["view_deg"] = look.view ? Json(*look.view) : Json();
    return out;
}

Json lens_json(const CalibratedCamera& camera) {
    const sight::Lens& lens = camera.camera.lens;
    return {{"focal_px", Json::array({lens.fx, lens.fy})},
            {"focal_standard_px", camera.focal_standard()},
            {"centre_px", Json::array({lens.cx, lens.cy})},
            {"centre_standard_px", Json::array({own_standard(camera, 7), own_standard(camera, 8)})},
            {"skew_px", lens.skew},
            {"radial", Json::array({lens.k1, lens.k2, lens.k3})},
            {"radial_standard", own_standard(camera, 9)},
            {"decentring", Json::array({lens.p1, lens.p2})}};
}

Json places_json(const FoundCamera& found) {
    Json all = Json::array();
    for (std::size_t i = 0; i < found.camera.places.size(); ++i) {
        const sight::KnownPlace& place = found.camera.places[i];
        const Pixel* seen = seen_of(found.sightings, i);
        const auto expected = project(found.camera.camera, place.at);
        Json one{{"name", place.name},
                 {"measured_m", json_of(found.sightings.places[i].at)},
                 {"tolerance_m", place.tolerance},
                 {"found_m", json_of(place.at)}};
        one["seen_px"] = seen != nullptr ? json_of(*seen) : Json();
        one["expected_px"] = expected ? json_of(*expected) : Json();
        all.push_back(std::move(one));
    }
    return all;
}

Json residuals_json(const FoundCamera& found) {
    Json all = Json::array();
    for (const sight::Residual& one : found.camera.residuals)
        all.push_back({{"name", one.name},
                       {"kind", all.size() < found.sightings.points.size() ? "place" : "edge"},
                       {"seen_px", json_of(one.seen)},
                       {"expected_px", json_of(one.expected)},
                       {"off_px", one.pixels},
                       {"normalised", one.normalised}});
    return all;
}

Json suspects_json(const FoundCamera& found) {
    Json all = Json::array();
    for (const sight::Suspect& suspect : found.camera.suspects)
        all.push_back(
            {{"residual", suspect.residual},
             {"name", found.camera.residuals[suspect.residual].name},
             {"off_px", suspect.pixels_alone},
             {"instead", suspect.instead ? Json(found.camera.places[*suspect.instead].name) : Json()},
             {"exchanged", exchanged(found, suspect)},
             {"sentence", sentence_of(found, suspect)}});
    return all;
}

Json covariance_json(const CalibratedCamera& camera) {
    Json names{"turning_x", "turning_y", "turning_z", "shift_x",  "shift_y",
               "shift_z",   "log_focal", "centre_x",  "centre_y", "k1"};
    for (const sight::KnownPlace& place : camera.places)
        for (const char* axis : {"x", "y", "z"})
            names.push_back(fmt::format("{}: {}", place.name, axis));
    Json rows = Json::array();
    for (std::size_t i = 0; i < camera.unknowns(); ++i) {
        const auto row = camera.covariance.begin() + static_cast<std::ptrdiff_t>(i * camera.unknowns());
        rows.push_back(std::vector<double>(row, row + static_cast<std::ptrdiff_t>(camera.unknowns())));
    }
    return {{"unknowns", std::move(names)}, {"rows", std::move(rows)}};
}

Json drawn_json(const FoundCamera& found) {
    if (!found.drawn) return {};
    Json out{{"count", found.drawn->count},
             {"probability", DrawnCameras::kProbability},
             {"undefined", found.drawn->undefined}};
    constexpr const char* kNames[]{"centre_x_m", "centre_y_m", "centre_z_m", "focal_px"};
    for (std::size_t k = 0; k < found.drawn->results.size(); ++k) {
        const DrawnCameras::One& one = found.drawn->results[k];
        out[kNames[k]] = Json{{"low", one.low}, {"high", one.high}, {"agrees", one.agrees}};
    }
    return out;
}

Json measure_json(const AnsweredMeasure& one) {
    Json out{{"name", one.name}};
    out["refused"] = one.refused ? Json(one.refused->text()) : Json();
    out["position_m"] = one.position ? json_of(one.position->at) : Json();
    out["covariance_m2"] = one.position ? Json(one.position->covariance) : Json();
    out["plane"] = one.plane.empty() ? Json() : Json(one.plane);
    if (!one.distance) return out;
    const sight::Distance& distance = *one.distance;
    const auto span = [](const sight::Span& ends) { return Json::array({ends.low, ends.high}); };
    constexpr const char* kSides[]{"before", "on", "past", "cannot_tell"};
    out["side"] = kSides[static_cast<std::size_t>(distance.side)];
    out["past_m"] = span(distance.best);
    out["past_95_m"] = span(distance.likely);
    out["past_999_m"] = span(distance.sure);
    out["standard_m"] = distance.standard;
    out["by_pointing_m"] = distance.by_pointing;
    out["by_standing_m"] = distance.by_standing;
    out["by_draws"] = distance.by_draws;
    out["angle_deg"] = distance.angle;
    return out;
}

Json measures_json(const FoundCamera& found) {
    Json all = Json::array();
    for (const AnsweredMeasure& one : found.measures)
        all.push_back(measure_json(one));
    return all;
}

}  // namespace

std::string told_as_json(const FoundCamera& found) {
    const CalibratedCamera& camera = found.camera;
    const auto chance = strain_chance(camera);
    Json out{{"format", "plumbmark-camera/1"},
             {"points", found.points},
             {"picture_px", Json::array({found.sightings.width, found.sightings.height})},
             {"lens_from", lens_from(found.sightings.knowledge)},
             {"camera", camera_json(found)},
             {"lens", lens_json(camera)},
             {"places", places_json(found)},
             {"residuals", residuals_json(found)},
             {"rms_px", camera.rms},
             {"redundancy", camera.redundancy},
             {"strain", camera.strain},
             {"strain_chance", chance ? Json(*chance) : Json()},
             {"widened", is_widened(camera)},
             {"suspects", suspects_json(found)},
             {"can_tell", camera.can_tell},
             {"covariance", covariance_json(camera)},
             {"draws", drawn_json(found)},
             {"measures", measures_json(found)}};
    return out.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::cli
