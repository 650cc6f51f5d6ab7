// The sections of a course book, each read into its part of the book. All tell what is wrong to the reading's
// problems and go on; what they return then is only good for finding further problems.
#pragma once

#include "course/internal/fields.h"

namespace plumbmark::course::internal {

inline constexpr std::size_t kMostSurfaces = 1000;  ///< faces included
inline constexpr std::size_t kMostPlanes = 200;
inline constexpr std::size_t kMostStations = 200;
inline constexpr std::size_t kMostItems = 500;
inline constexpr std::size_t kMostRows = 50;
inline constexpr std::size_t kMostCheckpoints = 100;
inline constexpr std::size_t kMostDivisions = 50;
inline constexpr std::size_t kMostLanes = 50;

void read_surfaces(const Fields& course, Reading& reading);
void read_planes(const Fields& course, Reading& reading);

/// 'position' counts from 1 and names the station in messages until its key is known; 'first' says that the
/// station begins at the start signal.
[[nodiscard]] Station read_station(const toml::table& table, std::size_t position, bool first,
                                   Reading& reading);
void read_in_play(const Fields& station, Station& result, Reading& reading);
[[nodiscard]] Landing read_landing(const toml::table& table, const Fields& station, Reading& reading);
void read_checkpoints(const Fields& station, Station& result, Reading& reading);

/// [finish] of the course; none is a finish that is not required.
[[nodiscard]] Finish read_finish(const Fields& course, Reading& reading);
/// After the stations.
void read_divisions(const Fields& course, Reading& reading);
/// After the surfaces and planes.
void read_plan(const Fields& course, Reading& reading);
/// After the surfaces and planes.
void read_lanes(const Fields& course, Reading& reading);

/// Tells when a thing with the key of 'next' is already among 'things'; 'kind' is "station", "checkpoint" ...
template <class Thing>
void tell_repeated_key(const std::vector<Thing>& things, const Thing& next, const Sentence& kind,
                       const toml::table& table, Problems& problems) {
    if (next.key.empty()) return;
    for (const Thing& earlier : things) {
        if (earlier.key != next.key) continue;
        problems.add(
            place_of(*table.get("key")),
            worded("there is already a {} {} at line {}", kind, quoted(next.key), earlier.place.line),
            worded("another key"));
        return;
    }
}

}  // namespace plumbmark::course::internal
