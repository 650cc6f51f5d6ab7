// A frame table as bytes, for the cache on disk.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "media/internal/table_data.h"

namespace plumbmark::media {

/// Raised whenever the bytes, or what a scan finds, change their meaning: older files are then made anew.
constexpr std::uint32_t kTableVersion = 5;

/// The facts field by field in 7-bit groups, then the rows in blocks of columns (table_rows.h). The same
/// table gives the same bytes. Any thread.
[[nodiscard]] std::string table_bytes(const TableData& data);

/// Null when the bytes are not a whole table. Bounded by the length of the bytes, whatever they say.
[[nodiscard]] std::shared_ptr<const TableData> table_from_bytes(std::string_view bytes);

}  // namespace plumbmark::media
