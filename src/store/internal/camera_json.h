// Lenses and stands of cameras as JSON, the way journal rows and sealed packages carry them
// (docs/meet-file.md, 'What an edit carries'), and what marks had pointed at and measured.
#pragma once

#include "meet/changes.h"
#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// What it is called and how it was found as a hash stands for it (personal.h); where nothing is sealed, as a
/// text.
[[nodiscard]] Json camera_json(const meet::CameraLens& lens);
[[nodiscard]] Json plain_lens_json(const meet::CameraLens& lens);
[[nodiscard]] Json camera_json(const meet::CameraStand& stand);

/// They throw ReadProblem.
[[nodiscard]] meet::CameraLens read_lens(std::int64_t id, const Json& value, const std::string& path);
[[nodiscard]] meet::CameraLens read_plain_lens(std::int64_t id, const Json& value, const std::string& path);
[[nodiscard]] meet::CameraStand read_stand(std::int64_t id, const Json& value, const std::string& path);

[[nodiscard]] Json followed_json(const meet::FollowedFrom& followed);
/// Throws ReadProblem.
[[nodiscard]] meet::FollowedFrom read_followed(const Json& value, const std::string& path);

/// The members of a mark that are left out where there is nothing to say, so that what older formats wrote
/// stays as it was.
void add_measured_members(Json& object, const meet::Mark& mark);
/// Throws ReadProblem.
void read_measured_members(const Members& members, meet::Mark& mark);

}  // namespace plumbmark::store
