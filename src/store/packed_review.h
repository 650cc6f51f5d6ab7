// What a sealed package holds so that its marks can be ruled again without the meet and without the clips:
// the frames and capture times of the clips, where their cameras stood, and which part of the course was run.
// The form stands in docs/ruling-package.md, 'review.json'.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"

namespace plumbmark::store {

struct PackedClip {
    std::string file;  ///< its name, without folders
    /// Name, fingerprint, content, time base, row delay, streams and what is known of its capture time; no
    /// id, and no paths.
    meet::Clip clip;
    /// Ascending by number. All of the clip's, from 0, where 'whole'; else those that the marks name.
    std::vector<meet::FrameRef> frames;
    bool whole = false;
};

struct PackedReview {
    std::string division;  ///< keys in the course book; empty: as in meet::Run
    std::string lane;
    std::vector<PackedClip> clips;  ///< in the order of the marks text
    /// The meet's ids of the marks, contact statements and watched spans, in the order of the marks text.
    std::vector<std::int64_t> marks, contacts, watched;
    /// Where the clips' cameras stood, with the meet's ids; their clips are places in 'clips', from 0.
    std::vector<meet::CameraStand> stands;
    std::vector<meet::CameraLens> lenses;  ///< that the stands name, with the meet's ids
};

/// As JSON, with two spaces of indentation. Reads back equal. Pure.
[[nodiscard]] std::string write_packed_review(const PackedReview& review);
/// Errors name the place. Any bytes are allowed. Pure.
[[nodiscard]] base::Result<PackedReview> read_packed_review(std::string_view json_text);

/// Stored things as a JSON list of objects with 'kind', 'id' and 'value', which has the members of
/// docs/meet-file.md, names and free texts in clear; two spaces of indentation. Pure.
[[nodiscard]] std::string things_json(const std::vector<meet::Entity>& things);

/// How two ruling texts (docs/ruling-json.md) stand to each other.
struct RulingComparison {
    /// Where verdicts, failing clauses, points, results or splits differ: "stations[2].verdict"; empty: the
    /// ruling is the same.
    std::string difference;
    /// Where else the stations or the sentence differ: what a ruling rests on, its margin, its wording.
    std::string other_words;
};

/// Compares sentence, results, split and stations (floor calls left out). Error bad_input where one of them
/// is no ruling text. Pure.
[[nodiscard]] base::Result<RulingComparison> compare_rulings(std::string_view one, std::string_view other);

}  // namespace plumbmark::store
