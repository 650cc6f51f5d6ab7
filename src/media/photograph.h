// A photograph as a phone or a camera writes it, as a picture.
#pragma once

#include <filesystem>
#include <stop_token>

#include "base/result.h"
#include "media/picture.h"

namespace plumbmark::media {

/// The picture of a file that holds one (JPEG, PNG and what else libav reads), upright where the file says
/// how it was held; of a clip its first picture. In size as it is stored, and never more pixels than a clip
/// may have. Errors: not_found, bad_input (no picture, or one that does not decode), damaged (empty), io,
/// cancelled. Waits for the drive and the decoder: not for the window's thread. Any thread.
[[nodiscard]] base::Result<RgbaImage> read_photograph(const std::filesystem::path& path,
                                                      std::stop_token stop = {});

}  // namespace plumbmark::media
