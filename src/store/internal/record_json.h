// Keys, seals and covers as JSON, the way journal rows and table 'thing' carry them (docs/meet-file.md, 'What
// an edit carries').
#pragma once

#include "meet/changes.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// A frame by number and time stamp, and the opposite, which throws ReadProblem.
[[nodiscard]] Json frame_json(const meet::FrameRef& frame);
[[nodiscard]] meet::FrameRef read_frame(const Members& parent, const std::string& name);

/// An id, or null for none; and the opposite, which throws ReadProblem.
[[nodiscard]] Json id_or_null(std::int64_t id);
[[nodiscard]] std::int64_t read_id_or_none(const Members& members, const std::string& name);

[[nodiscard]] Json record_json(const meet::SigningKey& key);
[[nodiscard]] Json record_json(const meet::Seal& seal);
[[nodiscard]] Json record_json(const meet::Cover& cover);

/// They throw ReadProblem.
[[nodiscard]] meet::SigningKey read_key(std::int64_t id, const Json& value, const std::string& path);
[[nodiscard]] meet::Seal read_seal(std::int64_t id, const Json& value, const std::string& path);
[[nodiscard]] meet::Cover read_cover(std::int64_t id, const Json& value, const std::string& path);

}  // namespace plumbmark::store
