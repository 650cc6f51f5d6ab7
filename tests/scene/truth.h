// The truth of the sample meet: what happened in each run, when, and which camera shows it. Its file format
// is described in docs/sample-meet.md.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "contacts.h"
#include "runs.h"

namespace plumbmark::scene {

/// What happened in one run, solved from its geometry; times on the run's clock.
struct RunTruth {
    Contacts contacts;
    std::vector<Crossing> crossings;
    base::Time beep;
    std::vector<base::Time> bells;
};
[[nodiscard]] RunTruth truth_of(const Run& run);

/// A time in seconds as whole nanoseconds, rounded to the nearest.
[[nodiscard]] base::Time to_time(double seconds);

/// Digests of one clip's pictures before encoding.
struct ClipDigest {
    std::string pictures_sha256;              ///< all pictures in order, as stored, planes in order
    std::vector<std::string> pictures_crc32;  ///< one per picture
};

/// The truth file, given the digests of each clip's pictures (keyed by View::clip).
[[nodiscard]] std::string truth_text(const std::map<std::string, ClipDigest>& digests);

/// The digests written in a truth file's text. Error damaged when it is not a truth file.
[[nodiscard]] base::Result<std::map<std::string, ClipDigest>> digests_in(const std::string& text);

}  // namespace plumbmark::scene
