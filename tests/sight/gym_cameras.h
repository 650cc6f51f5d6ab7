// The four cameras of the gym take: as they were published, and as the board in their pictures tells.
#pragma once

#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <regex>
#include <string>
#include <vector>

#include "gym_readings.h"
#include "sight/calibrate.h"
#include "support/test_places.h"

namespace plumbmark::gym {

using sight::CalibratedCamera;
using sight::Camera;
using sight::Lens;
using sight::Vec3;

inline std::filesystem::path calibration_file() {
    return test::shared_folder() / "clips/motion/gym-four-cameras/Calib.qca.txt";
}

/// Of the calibration's 64th pixels and millimetres; nothing where the file is not there or is another one.
/// Its axes look x right, y up, z back. Its principal points are taken to count the first pixel's middle as
/// 0, as its field of view from 0 to 1087 says; the
/// other way is half a pixel, some 1 mm at these cameras, which these pictures cannot tell.
inline std::optional<std::array<Camera, 4>> published_cameras() {
    std::ifstream in(calibration_file());
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    const std::regex camera("<camera [^]*?</camera>");
    std::array<Camera, 4> out;
    std::size_t count = 0;
    for (std::sregex_iterator at(text.begin(), text.end(), camera), end; at != end; ++at, ++count) {
        if (count == out.size()) return std::nullopt;
        const std::string one = at->str();
        const auto number = [&one](const char* name) {
            std::smatch found;
            const bool there =
                std::regex_search(one, found, std::regex(std::string(" ") + name + "=\"([^\"]*)\""));
            return there ? std::stod(found[1]) : std::nan("");
        };
        Camera& to = out[count];
        to.lens = {1088,
                   1920,
                   number("focalLengthU") / 64,
                   number("focalLengthV") / 64,
                   number("centerPointU") / 64 + 0.5,
                   number("centerPointV") / 64 + 0.5,
                   0,
                   number("radialDistortion1"),
                   number("radialDistortion2"),
                   number("tangentalDistortion1"),
                   number("tangentalDistortion2")};
        to.pose.turn = {{{number("r11"), number("r12"), number("r13")},
                         {-number("r21"), -number("r22"), -number("r23")},
                         {-number("r31"), -number("r32"), -number("r33")}}};
        const Vec3 stands = 0.001 * Vec3{number("x"), number("y"), number("z")};
        to.pose.shift = -1 * (to.pose.turn * stands);
        if (!std::isfinite(sight::length(to.pose.shift) + to.lens.fx + to.lens.cy)) return std::nullopt;
    }
    if (count != out.size()) return std::nullopt;
    return out;
}

/// A published lens in a clip that was narrowed to 1080 x 1906 and has bars of 7 rows.
inline Lens narrowed(const Lens& lens) {
    Lens out = *sight::rescaled(lens, 1080, 1906);
    out.height = 1920;
    out.cy += 7;
    return out;
}

inline Lens lens_of(const Picture& picture, const std::array<Camera, 4>& published) {
    const Lens& lens = published[picture.camera].lens;
    return picture.narrowed ? narrowed(lens) : lens;
}

/// What is believed of a published lens, with which nothing of the kind was said.
inline constexpr sight::LensStandard kLensStandard{0.002, 2, 0.005};

inline sight::Sightings sightings_of(const Picture& picture, const Lens& lens,
                                     const std::vector<Place>& without = {}) {
    sight::Sightings out;
    out.width = lens.width;
    out.height = lens.height;
    out.knowledge = sight::LensKnowledge::measured;
    out.lens = lens;
    out.lens_standard = kLensStandard;
    std::array<std::optional<std::size_t>, 8> number;
    const std::vector<KnownPlace> all = board();
    for (std::size_t i = 0; i < all.size(); ++i) {
        bool kept = true;
        for (const Place one : without)
            kept = kept && one != i;
        if (!kept) continue;
        number[i] = out.places.size();
        out.places.push_back(all[i]);
    }
    for (const sight::SeenPlace& one : picture.points)
        if (number[one.place]) out.points.push_back({*number[one.place], one.at, one.standard});
    for (const sight::SeenEdge& edge : picture.edges)
        if (number[edge.from] && number[edge.to])
            out.edges.push_back({*number[edge.from], *number[edge.to], edge.at, edge.standard});
    return out;
}

/// A published camera, in the pixels of its clip, taken at its word: nothing of it is uncertain.
inline CalibratedCamera at_its_word(const Picture& picture, const std::array<Camera, 4>& published) {
    CalibratedCamera out;
    out.camera = published[picture.camera];
    out.camera.lens = lens_of(picture, published);
    out.covariance.assign(out.unknowns() * out.unknowns(), 0);
    for (std::size_t i = 0; i < out.unknowns(); ++i)
        out.covariance[i * out.unknowns() + i] = 1e-20;
    return out;
}

}  // namespace plumbmark::gym
