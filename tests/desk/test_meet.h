// A small meet for the tests of the desk: a clip made on the spot, a course of two stations, nothing marked.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "support/temporary_folder.h"

namespace plumbmark::test {

/// True when a program is found on the path.
[[nodiscard]] bool has_program(const std::string& name);

/// 'size' such as "640x360"; 25 frames a second. None when the ffmpeg program is missing or fails.
[[nodiscard]] std::optional<std::filesystem::path> make_clip(const std::filesystem::path& folder,
                                                             const std::string& name, int frames,
                                                             const std::string& size = "640x360");

/// The text of the course: surfaces pier_deck, bollard, quay_deck, hawser, floor; plane quay_front.
[[nodiscard]] std::string course_text();

/// A meet with one run on the clip, under the course, with the quay deck and its plane drawn. Fails the test
/// when it cannot be made.
[[nodiscard]] std::filesystem::path make_meet(const std::filesystem::path& folder,
                                              const std::filesystem::path& clip);

}  // namespace plumbmark::test
