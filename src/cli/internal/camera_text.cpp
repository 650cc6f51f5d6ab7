// A camera that was found, for the terminal.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "cli/internal/camera_look.h"
#include "cli/internal/camera_told.h"

namespace plumbmark::cli {
namespace {

using sight::CalibratedCamera;
using sight::Pixel;
using sight::Vec3;

std::string lens_words(const FoundCamera& found, const Look& look) {
    const sight::Lens& lens = found.camera.camera.lens;
    std::string focal = fmt::format("{:.1f} px", lens.fx);
    if (lens.fx != lens.fy) focal = fmt::format("{:.1f} px across and {:.1f} px down", lens.fx, lens.fy);
    std::string words = fmt::format("Its focal length is {} (standard deviation {:.1f} px)", focal,
                                    found.camera.focal_standard());
    if (look.view)
        words += fmt::format(", its angle of view {:.1f}° by {:.1f}°", (*look.view)[0], (*look.view)[1]);
    words += fmt::format(". Principal point {:.1f}, {:.1f} ({:.1f} px); k1 {:.4f} ({:.4f}).\n", lens.cx,
                         lens.cy, std::max(own_standard(found.camera, 7), own_standard(found.camera, 8)),
                         lens.k1, own_standard(found.camera, 9));
    return words;
}

std::string stand_words(const FoundCamera& found, const Look& look) {
    const Vec3 at = centre(found.camera.camera), standard = found.camera.centre_standard();
    std::string words = fmt::format(
        "The camera stands at x {:.3f} m, y {:.3f} m, z {:.3f} m (standard deviations {:.0f}, "
        "{:.0f} and {:.0f} mm).\n",
        at.x, at.y, at.z, 1000 * standard.x, 1000 * standard.y, 1000 * standard.z);
    words += "It looks ";
    if (look.bearing) words += fmt::format("{:.1f}° from the x axis towards y, ", *look.bearing);
    words += fmt::format("{:.1f}° {}", std::abs(look.elevation), look.elevation < 0 ? "down" : "up");
    if (look.bearing)
        words += std::abs(look.roll) < 0.05 ? std::string(", not rolled")
                                            : fmt::format(", rolled {:.1f}° {}", std::abs(look.roll),
                                                          look.roll < 0 ? "anticlockwise" : "clockwise");
    return words + fmt::format(
                       " (standard deviations {:.2f}° sideways, {:.2f}° up and down, {:.2f}° about its line "
                       "of sight).\n",
                       look.sideways, look.up_down, look.around);
}

std::string pixel_words(const std::optional<Pixel>& at, const char* otherwise) {
    return at ? fmt::format("{:.1f} {:>7.1f}", at->x, at->y) : std::string(otherwise);
}

/// A row of the table; 'mark' stands behind it.
struct Row {
    std::string name, seen, expected, off, normalised, mark;
};

std::vector<Row> rows_of(const FoundCamera& found) {
    std::vector<Row> rows{{"", "seen (px)", "expected (px)", "off (px)", "normalised", ""}};
    const auto& residuals = found.camera.residuals;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
        const sight::Residual& one = residuals[i];
        const auto& suspects = found.camera.suspects;
        const bool suspect = std::any_of(suspects.begin(), suspects.end(),
                                         [i](const sight::Suspect& other) { return other.residual == i; });
        rows.push_back({one.name, pixel_words(one.seen, ""), pixel_words(one.expected, ""),
                        fmt::format("{:.2f}", one.pixels), fmt::format("{:.2f}", one.normalised),
                        suspect ? "  suspect, left out" : ""});
    }
    for (std::size_t i = 0; i < found.camera.places.size(); ++i)
        if (seen_of(found.sightings, i) == nullptr)
            rows.push_back({found.camera.places[i].name, "hidden",
                            pixel_words(project(found.camera.camera, found.camera.places[i].at), "not seen"),
                            "", "", ""});
    return rows;
}

std::string table_words(const FoundCamera& found) {
    const std::vector<Row> rows = rows_of(found);
    std::size_t widest = 0;
    for (const Row& row : rows)
        widest = std::max(widest, base::code_points(row.name).size());
    std::string words;
    for (const Row& row : rows) {
        const std::string line = fmt::format("{:<{}} {:>17} {:>17} {:>9} {:>11}{}", row.name, widest,
                                             row.seen, row.expected, row.off, row.normalised, row.mark);
        words += std::string(line, 0, line.find_last_not_of(' ') + 1) + "\n";
    }
    return words;
}

std::string chance_words(double chance) {
    if (chance < 1e-6) return "less than once in a million";
    if (chance < 0.01) return fmt::format("once in {:.0f}", 1 / chance);
    if (chance > 0.99) return "more than 99 times in 100";
    return fmt::format("{:.0f} times in 100", 100 * chance);
}

std::string strain_words(const FoundCamera& found) {
    const CalibratedCamera& camera = found.camera;
    const auto chance = strain_chance(camera);
    std::string words =
        fmt::format("{:.2f} px off as a root mean square; redundancy {}", camera.rms, camera.redundancy);
    if (!chance) return words + ": as many equations as unknowns, so nothing checks anything.\n";
    words += fmt::format(", strain {:.2f}: measures as good as stated strain as much or more {}.\n",
                         camera.strain, chance_words(*chance));
    if (!is_widened(camera)) return words;
    words +=
        fmt::format("They do not go together; the standard deviations have been made {:.1f} times larger.",
                    std::sqrt(camera.strain));
    const auto worst =
        std::max_element(camera.residuals.begin(), camera.residuals.end(),
                         [](const auto& a, const auto& b) { return a.normalised < b.normalised; });
    if (camera.suspects.empty() && worst != camera.residuals.end())
        words += fmt::format(" No one or two places explain it; '{}' is the furthest off.", worst->name);
    return words + "\n";
}

std::string drawn_words(const FoundCamera& found) {
    if (!found.drawn) return "";
    const DrawnCameras& drawn = *found.drawn;
    constexpr const char* kNames[]{"x", "y", "z", "focal length"};
    std::string words = fmt::format("Of {} cameras drawn, 95 % lie within", drawn.count);
    bool all = true;
    for (std::size_t k = 0; k < drawn.results.size(); ++k) {
        const DrawnCameras::One& one = drawn.results[k];
        all = all && one.agrees;
        words += k < 3 ? fmt::format(" {} {:.3f} to {:.3f} m,", kNames[k], one.low, one.high)
                       : fmt::format(" {} {:.1f} to {:.1f} px", kNames[k], one.low, one.high);
    }
    words += all ? "; the standard deviations tell the same.\n"
                 : "; to two digits the standard deviations tell otherwise for";
    if (all) return words;
    bool first = true;
    for (std::size_t k = 0; k < drawn.results.size(); ++k) {
        if (drawn.results[k].agrees) continue;
        words += fmt::format("{}{}", first ? " " : ", ", kNames[k]);
        first = false;
    }
    return words + ": take these intervals there.\n";
}

}  // namespace

std::string told_as_text(const FoundCamera& found) {
    const Look look = look_of(found.camera);
    std::string words = stand_words(found, look) + lens_words(found, look) + drawn_words(found) + "\n" +
                        table_words(found) + "\n" + strain_words(found);
    for (const sight::Suspect& suspect : found.camera.suspects)
        words += sentence_of(found, suspect) + "\n";
    words += found.camera.suspects.empty() ? "A wrong place" : "Another wrong place";
    words += found.camera.can_tell
                 ? " would have been noticed.\n"
                 : " would not have been noticed: point at more places, some of them far apart.\n";
    return words + (found.measures.empty() ? "" : "\n") + told(found.measures);
}

}  // namespace plumbmark::cli
