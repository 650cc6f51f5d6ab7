// [[station]]: one station, all but the parts that have files of their own.
#include "course/internal/sections.h"

namespace plumbmark::course::internal {
namespace {

void read_start_plane(const Fields& station, Station& result, bool first, Reading& reading) {
    const toml::node* node = station.find("start_plane");
    if (node == nullptr) return;
    result.start_plane_until = first ? BehindUntil::signal : BehindUntil::set_off;
    if (node->is_string()) {
        const PlaneId plane = station.plane("start_plane");
        if (plane.valid()) result.start_plane = plane;
        return;
    }
    const toml::table* table =
        station.table("start_plane", worded("the key of a plane in quotes, or a table such as {}",
                                            "{ plane = \"start_line\", parts = \"feet\" }"));
    if (table == nullptr) return;
    const Fields fields(*table, place_of(*table), worded("'{}' of {}", "start_plane", station.what()),
                        kStartPlaneKeys, reading);
    if (!fields.has("plane")) fields.missing("plane", worded("the key of a plane in quotes"));
    const PlaneId plane = fields.plane("plane");
    if (plane.valid()) result.start_plane = plane;
    result.start_plane_parts = fields.parts("parts", kWholeBody);
    result.start_plane_until = fields.choice("until", kUntilWords, result.start_plane_until);
}

void read_numbers(const Fields& fields, Station& result) {
    result.exit = fields.choice("exit", kExitWords, Exit::shared);
    result.attempts = fields.whole_number("attempts", 1, 99, 1);
    result.points = fields.whole_number("points", 0, 100'000, 1);
    result.cap = fields.length_of_time("cap");
    result.rest_limit = fields.length_of_time("rest_limit");
    result.step_down_allowed = fields.truth("step_down_allowed", false);
    result.previous_items_neutral = fields.truth("previous_items_neutral", true);
}

}  // namespace

Station read_station(const toml::table& table, std::size_t position, bool first, Reading& reading) {
    Station result;
    result.place = place_of(table);
    const auto key = table["key"].value_exact<std::string>();
    const Sentence what =
        key && good_key(*key) ? worded("station {}", quoted(*key)) : worded("station number {}", position);
    const Fields fields(table, result.place, what, kStationKeys, reading);
    result.key = fields.own_key("hawser_swing");
    result.name = fields.name("name", "hawser swing");
    if (!fields.has("start")) fields.missing("start", worded("the surface or surfaces to set off from"));
    result.start = fields.surfaces("start");
    read_start_plane(fields, result, first, reading);
    read_in_play(fields, result, reading);
    const Sentence landing_form = worded("a {} table", "[station.landing]");
    if (!fields.has("landing")) fields.missing("landing", landing_form);
    if (const toml::table* landing = fields.table("landing", landing_form)) {
        result.landing = read_landing(*landing, fields, reading);
    }
    read_numbers(fields, result);
    read_checkpoints(fields, result, reading);
    return result;
}

void read_checkpoints(const Fields& station, Station& result, Reading& reading) {
    const auto tables =
        station.tables("checkpoint", kMostCheckpoints, worded("{} tables", "[[station.checkpoint]]"));
    for (const toml::table* table : tables) {
        const Fields fields(*table, place_of(*table), worded("a checkpoint of {}", station.what()),
                            kCheckpointKeys, reading);
        Checkpoint checkpoint;
        checkpoint.place = fields.place();
        checkpoint.key = fields.own_key("half_way");
        checkpoint.name = fields.name("name", "half way");
        if (fields.has("touched") == fields.has("crossed")) {
            fields.problem(fields.place(),
                           fields.has("touched")
                               ? worded("{} has both '{}' and '{}'", fields.what(), "touched", "crossed")
                               : worded("{} has neither '{}' nor '{}'", fields.what(), "touched", "crossed"),
                           worded("one of the two"));
        }
        if (const SurfaceId touched = fields.surface("touched"); touched.valid())
            checkpoint.touched = touched;
        if (const PlaneId crossed = fields.plane("crossed"); crossed.valid()) checkpoint.crossed = crossed;
        if (!fields.has("points"))
            fields.missing("points", worded("a whole number from {} to {}", 1, 100'000));
        checkpoint.points = fields.whole_number("points", 1, 100'000, 1);
        tell_repeated_key(result.checkpoints, checkpoint, worded("checkpoint"), *table, reading.problems);
        result.checkpoints.push_back(std::move(checkpoint));
    }
}

}  // namespace plumbmark::course::internal
