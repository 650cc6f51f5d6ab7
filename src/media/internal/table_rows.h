// The rows of a frame table, packets and frames, as bytes.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "media/internal/table_data.h"

namespace plumbmark::media {

/// Appends all packets, then all frames; their numbers are written elsewhere. The same rows give the same
/// bytes.
void append_rows(const TableData& data, std::string& bytes);

/// Takes so many packets and frames from the front of 'bytes' into the empty lists of 'data', whose time base
/// is known. False when they are not all there, or name each other wrongly. Each row is at least one byte.
[[nodiscard]] bool take_rows(std::size_t packets, std::size_t frames, std::string_view& bytes,
                             TableData& data);

}  // namespace plumbmark::media
