// The first picture of a clip, before anything is known of its frames.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>

#include "base/result.h"
#include "media/picture.h"

namespace plumbmark::media {

/// The first picture that the decoder gives for the chosen video stream: most often frame 0, but only the
/// frame table can tell. Errors as scan_clip's, and damaged when none of the first packets decodes. Any
/// thread.
[[nodiscard]] base::Result<std::shared_ptr<const Picture>> first_picture(const std::filesystem::path& path,
                                                                         std::optional<int> stream,
                                                                         std::stop_token stop);

}  // namespace plumbmark::media
