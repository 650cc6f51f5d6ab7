#include "cli/internal/placing_told.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

namespace plumbmark::cli {
namespace {

using review::length_words;
using sight::Hindrance;
using sight::PlaceWorth;
using Json = nlohmann::ordered_json;

const char* wanted_key(sight::Wanted wanted) {
    return wanted == sight::Wanted::both ? "both" : wanted == sight::Wanted::in_air ? "air" : "deck";
}

const char* hindrance_key(Hindrance hindrance) {
    switch (hindrance) {
        case Hindrance::none:
            return "none";
        case Hindrance::over_the_plane:
            return "over_the_plane";
        case Hindrance::too_few:
            return "too_few";
        case Hindrance::on_one_line:
            return "on_one_line";
        case Hindrance::untold_focal:
            return "untold_focal";
        case Hindrance::too_close_together:
            return "too_close_together";
        case Hindrance::two_ways:
            return "two_ways";
        case Hindrance::plane_outside:
            return "plane_outside";
        case Hindrance::not_from_above:
            return "not_from_above";
        case Hindrance::grazing:
            return "grazing";
        case Hindrance::along_each_other:
            return "along_each_other";
    }
    return "none";
}

std::string width_words(double width) {
    return std::isfinite(width) ? length_words(width) : std::string("-");
}

/// Beneath each other by letters, not bytes.
std::size_t letters(const std::string& text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string table(const std::vector<std::vector<std::string>>& rows) {
    std::vector<std::size_t> widths(rows.front().size(), 0);
    for (const auto& row : rows)
        for (std::size_t i = 0; i < row.size(); ++i)
            widths[i] = std::max(widths[i], letters(row[i]));
    std::string out;
    for (const auto& row : rows) {
        std::string line;
        for (std::size_t i = 0; i < row.size(); ++i)
            line += std::string(2 + widths[i] - letters(row[i]), ' ') + row[i];
        out += line + "\n";
    }
    return out;
}

std::string best_table(const PlacingFound& found, const review::BestPlaces& best) {
    const bool two = found.asked.first.has_value();
    std::vector<std::vector<std::string>> rows{
        {"", "x", "y", "in the air", "on " + found.placing.surface, "it stands within", "places seen"}};
    if (two) rows.front().emplace_back("parallax");
    for (std::size_t i = 0; i < best.cells.size(); ++i) {
        const PlaceWorth& worth = found.map.each[best.cells[i]];
        const sight::FloorPlace at = found.map.floor.middle(best.cells[i]);
        rows.push_back({std::to_string(i + 1), fmt::format("{:.2f}", at.x), fmt::format("{:.2f}", at.y),
                        width_words(worth.in_air), width_words(worth.on_level),
                        length_words(2 * worth.standing), std::to_string(worth.seen)});
        if (two) rows.back().push_back(fmt::format("{:.0f}°", worth.parallax));
    }
    return table(rows);
}

/// How many places are in each step, and why the last ones are there.
std::string others(const PlacingFound& found) {
    const sight::PlacingMap& map = found.map;
    const double wide = (map.floor.x_to - map.floor.x_from) / map.floor.columns;
    std::string out =
        fmt::format("{} places of the floor were looked at, {:.2f} m apart:\n", map.each.size(), wide);
    for (const report::PlacingStep step : report::kPlacingSteps) {
        const auto in_step = [&](const PlaceWorth& worth) {
            return report::placing_step(width(worth, found.asked.wanted), found.asked.bound) == step;
        };
        const auto cells = std::count_if(map.each.begin(), map.each.end(), in_step);
        out +=
            fmt::format("{:>7}  {}\n", cells, report::placing_step_words(step, found.asked.bound).english());
    }
    for (const review::PlacingReason& reason : review::reasons(map, found.asked.wanted))
        out += fmt::format("{:>16}  {}\n{:>18}{}\n", reason.cells, reason.words.english(), "",
                           reason.remedy.english());
    return out;
}

/// Null where there is none: JSON knows no infinity.
Json metres(double width) {
    return std::isfinite(width) ? Json(width) : Json(nullptr);
}

Json worth_json(const PlacingFound& found, std::size_t cell) {
    const PlaceWorth& worth = found.map.each[cell];
    const sight::FloorPlace at = found.map.floor.middle(cell);
    Json out{{"x_m", at.x},
             {"y_m", at.y},
             {"in_air_m", metres(worth.in_air)},
             {"on_deck_m", metres(worth.on_level)},
             {"standing_standard_m", worth.standing},
             {"places_seen", worth.seen},
             {"says", review::worth_words(found.placing, worth).english()}};
    if (found.asked.first) out["parallax_degrees"] = worth.parallax;
    return out;
}

Json supposed_json(const review::Placing& placing) {
    const review::PlacingWish& wish = placing.wish;
    return {{"camera_height_m", wish.camera_height},
            {"across_degrees", review::degrees_across(wish)},
            {"picture_px", {wish.lens.width, wish.lens.height}},
            {"lens", wish.lens_name.empty() ? Json(nullptr) : Json(wish.lens_name)},
            {"pointing_px", wish.pointing},
            {"air_m", wish.air},
            {"deck", placing.surface},
            {"deck_height_m", placing.plan.level.height},
            {"deck_away_m", placing.away},
            {"tape_supposed", placing.supposed_tape}};
}

Json floor_json(const PlacingFound& found) {
    const sight::FloorGrid& floor = found.map.floor;
    Json in_air = Json::array(), on_deck = Json::array(), why = Json::array();
    for (const PlaceWorth& worth : found.map.each) {
        in_air.push_back(metres(worth.in_air));
        on_deck.push_back(metres(worth.on_level));
        why.push_back(hindrance_key(review::hindrance_of(worth, found.asked.wanted)));
    }
    return {{"x_from_m", floor.x_from}, {"x_to_m", floor.x_to},     {"y_from_m", floor.y_from},
            {"y_to_m", floor.y_to},     {"columns", floor.columns}, {"rows", floor.rows},
            {"in_air_m", in_air},       {"on_deck_m", on_deck},     {"why_not", why}};
}

}  // namespace

std::string placing_text(const PlacingFound& found) {
    const review::Placing& placing = found.placing;
    const review::BestPlaces best = review::best_places(found.map, found.asked);
    const std::string bound =
        report::placing_step_words(report::PlacingStep::within, found.asked.bound).english();
    std::string out =
        fmt::format("Where to put a {}camera for {}\n{}\n\n", found.asked.first ? "second " : "",
                    placing.plane, review::wanted_words(placing, found.asked).english());
    if (best.cells.empty())
        out += "From no place of the floor anything can be measured.\n";
    else
        out += fmt::format(
            "{}\n{}",
            best.keep ? "The best places " + bound + ":" : "No place is " + bound + "; these come nearest:",
            best_table(found, best));
    out += "\n" + others(found) + "\n";
    for (const base::Sentence& one : review::supposed_words(placing))
        out += one.english() + "\n";
    return out + review::placing_caution().english() + "\n";
}

std::string placing_json(const PlacingFound& found) {
    const review::BestPlaces best = review::best_places(found.map, found.asked);
    Json out{{"format", "plumbmark-placing/1"},
             {"plane", found.placing.wish.plane},
             {"wanted", wanted_key(found.asked.wanted)},
             {"within_m", found.asked.bound},
             {"kept", best.keep && !best.cells.empty()},
             {"supposed", supposed_json(found.placing)},
             {"first", nullptr},
             {"best", Json::array()},
             {"reasons", Json::array()}};
    if (found.asked.first) out["first"] = {{"x_m", found.asked.first->x}, {"y_m", found.asked.first->y}};
    for (const std::size_t cell : best.cells)
        out["best"].push_back(worth_json(found, cell));
    for (const review::PlacingReason& reason : review::reasons(found.map, found.asked.wanted))
        out["reasons"].push_back({{"why", hindrance_key(reason.hindrance)},
                                  {"places", reason.cells},
                                  {"remedy", reason.remedy.english()}});
    out["floor"] = floor_json(found);
    out["caution"] = review::placing_caution().english();
    return out.dump(2) + "\n";
}

}  // namespace plumbmark::cli
