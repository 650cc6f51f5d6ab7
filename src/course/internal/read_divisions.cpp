// [finish] and [[division]].
#include <algorithm>

#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

std::vector<std::string> station_keys(const CourseBook& book) {
    std::vector<std::string> keys;
    for (const Station& station : book.stations)
        keys.push_back(station.key);
    return keys;
}

void tell_unknown_station(Place place, std::string_view key, Reading& reading) {
    reading.problems.add(place, worded("{} is not a station of this course", quoted(key)),
                         worded("the key of a [[station]]"),
                         reading.problems.crowded() ? "" : nearest_or_none(key, station_keys(reading.book)));
}

bool leaves_out(const Division& division, std::int64_t station) {
    return std::find(division.left_out.begin(), division.left_out.end(), StationId{station}) !=
           division.left_out.end();
}

// The station begins at the start signal when the division leaves out all before it.
bool comes_first(const Division& division, std::int64_t station) {
    for (std::int64_t i = 0; i < station; ++i) {
        if (!leaves_out(division, i)) return false;
    }
    return true;
}

void read_left_out(const Fields& fields, Division& division, Reading& reading) {
    for (const PlacedText& text :
         fields.texts("left_out", worded("the key of a station in quotes, or a list of them"))) {
        const StationId id = reading.book.find_station(text.text);
        if (id.valid()) {
            division.left_out.push_back(id);
        } else {
            tell_unknown_station(text.place, text.text, reading);
        }
    }
}

void read_own_stations(const Fields& fields, Division& division, Reading& reading) {
    const auto tables = fields.tables("station", kMostStations, worded("{} tables", "[[division.station]]"));
    for (std::size_t i = 0; i < tables.size(); ++i) {
        const auto key = (*tables[i])["key"].value_exact<std::string>();
        const StationId id = key ? reading.book.find_station(*key) : StationId{};
        const bool first = id.valid() && comes_first(division, id.value);
        Station station = read_station(*tables[i], i + 1, first, reading);
        const Place place = tables[i]->contains("key") ? place_of(*tables[i]->get("key")) : station.place;
        if (!station.key.empty() && !id.valid()) {
            tell_unknown_station(place, station.key, reading);
        } else if (id.valid() && leaves_out(division, id.value)) {
            fields.problem(
                place, worded("{} is left out of {} and defined for it", quoted(station.key), fields.what()),
                worded("one of the two"));
        }
        for (const Station& earlier : division.stations) {
            if (station.key.empty() || earlier.key != station.key) continue;
            fields.problem(place, worded("{} is defined twice for {}", quoted(station.key), fields.what()),
                           worded("one definition"));
        }
        division.stations.push_back(std::move(station));
    }
}

}  // namespace

Finish read_finish(const Fields& course, Reading& reading) {
    Finish finish;
    const toml::table* table = course.table("finish", worded("a {} table", "[finish]"));
    if (table == nullptr) return finish;
    const Fields fields(*table, place_of(*table), "[finish]", kFinishKeys, reading);
    finish.place = fields.place();
    if (const SurfaceId surface = fields.surface("surface"); surface.valid()) finish.surface = surface;
    if (fields.has("name")) {
        finish.name = fields.name("name", "bell plate");
    } else if (finish.surface) {
        finish.name = reading.book.surface_name(*finish.surface);
    } else if (!fields.has("surface")) {
        fields.missing("name",
                       worded("a 'name' for a signal without a surface, or the 'surface' that is struck"));
    }
    finish.required = fields.truth("required", true);
    return finish;
}

void read_divisions(const Fields& course, Reading& reading) {
    const auto tables = course.tables("division", kMostDivisions, worded("{} tables", "[[division]]"));
    for (std::size_t i = 0; i < tables.size(); ++i) {
        Division division;
        division.place = place_of(*tables[i]);
        const auto key = (*tables[i])["key"].value_exact<std::string>();
        const Sentence what =
            key && good_key(*key) ? worded("division {}", quoted(*key)) : worded("division number {}", i + 1);
        const Fields fields(*tables[i], division.place, what, kDivisionKeys, reading);
        division.key = fields.own_key("under_12");
        division.name = fields.name("name", "Under 12");
        division.run_cap = fields.length_of_time("run_cap");
        read_left_out(fields, division, reading);
        read_own_stations(fields, division, reading);
        tell_repeated_key(reading.book.divisions, division, worded("division"), *tables[i], reading.problems);
        reading.book.divisions.push_back(std::move(division));
    }
}

}  // namespace plumbmark::course::internal
