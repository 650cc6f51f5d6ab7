// How large a course can be for the ruling engine: it keeps what it knows of a run in sets of fixed size.
// 'check' tells a book beyond this before the meet; the engine refuses it as well.
#pragma once

#include <cstddef>

namespace plumbmark::course {

inline constexpr std::size_t kMostStations = 32;
inline constexpr std::size_t kMostItems = 64;  ///< in play on one station
inline constexpr std::size_t kMostPlanes = 36;
/// Surfaces that a station, a checkpoint or the finish names; the others of a book count as one.
inline constexpr std::size_t kMostSurfacesNamed = 83;

}  // namespace plumbmark::course
