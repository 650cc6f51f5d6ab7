// The parts of the ruling's JSON. Every function keeps its members in the order that docs/ruling-json.md
// lists.
#pragma once

#include <nlohmann/json.hpp>

#include "report/ruling_document.h"

namespace plumbmark::report {

using Json = nlohmann::ordered_json;

/// {"ns": ..., "frame": ...}: an instant of a clip; null when there is none.
[[nodiscard]] Json json_instant(const RulingDocument& document, ruling::ClipIndex clip,
                                const std::optional<base::Time>& t);
[[nodiscard]] Json json_shown(const RulingDocument& document, const std::optional<ruling::Shown>& shown);
[[nodiscard]] Json json_happening(const RulingDocument& document, const ruling::Happening& what);
/// Keys of the course book; null for an id that names nothing of it.
[[nodiscard]] Json json_surface(const RulingDocument& document, course::SurfaceId id);
[[nodiscard]] Json json_plane(const RulingDocument& document, course::PlaneId id);
[[nodiscard]] Json json_station_key(const RulingDocument& document, course::StationId id);
/// The number of a mark; null for none.
[[nodiscard]] Json json_mark_id(ruling::MarkId id);

/// Marks, contact statements and watched spans of the evidence, in this order.
[[nodiscard]] Json json_marks(const RulingDocument& document);
[[nodiscard]] Json json_station(const RulingDocument& document, const ruling::StationRuling& station);

}  // namespace plumbmark::report
