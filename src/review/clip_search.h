// Finding a clip's file again that is no longer where it was.
#pragma once

#include <filesystem>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"

namespace plumbmark::review {

/// Where to look.
struct SearchPlaces {
    std::filesystem::path meet_folder;          ///< and the folders below it
    std::vector<std::filesystem::path> beside;  ///< folders of other clips; not below them
};

/// The meet's folder, and those in which the meet's clips were.
[[nodiscard]] SearchPlaces search_places(const meet::State& state, const std::filesystem::path& meet_folder);

/// The file whose fingerprint (media/fingerprint.h) is the clip's: of the files in these places first those
/// with its name, then those with its size. Of a clip without a fingerprint, the one file with its name.
/// A clip whose place was erased is not looked for. Looks at no more than 50,000 files, eight folders deep,
/// and follows no links to folders. Error not_found: there is none; the sentence says so where a file of its
/// name is another one. Error cancelled. Any thread; waits for drives.
[[nodiscard]] base::Result<std::filesystem::path> search_clip_file(const meet::Clip& clip,
                                                                   const SearchPlaces& places,
                                                                   const std::stop_token& stop);

}  // namespace plumbmark::review
