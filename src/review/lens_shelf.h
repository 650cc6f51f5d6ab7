// The lenses that this person has measured, kept from one meet to the next.
#pragma once

#include <filesystem>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"

namespace plumbmark::review {

/// lenses.json in config_folder().
[[nodiscard]] std::filesystem::path lens_shelf_file();
/// What is kept there, in the order in which it was put there, without ids; nothing where there is no such
/// file. Errors: io, bad_input where it does not read. Waits for the disk, briefly.
[[nodiscard]] base::Result<std::vector<meet::CameraLens>> kept_lenses(const std::filesystem::path& file);
/// Puts a lens there; one of the same camera and size of picture goes. Errors as kept_lenses(), and what
/// keep_file() gives; nothing is changed then.
[[nodiscard]] base::Result<void> keep_lens(const std::filesystem::path& file, const meet::CameraLens& lens);

/// Lenses that can be taken in this meet: its own, with their ids, then those that are kept and that it does
/// not have yet.
[[nodiscard]] std::vector<meet::CameraLens> lenses_to_take(const meet::State& state,
                                                           const std::vector<meet::CameraLens>& kept);

}  // namespace plumbmark::review
