// A map of where to put a camera, in words and as a picture. Sentences speak the window's language where the
// thread is Speaking. Pure; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/placing_picture.h"
#include "review/placing_plan.h"

namespace plumbmark::review {

/// What a map is asked for: which width counts, and what is wanted of it.
struct PlacingAsked {
    sight::Wanted wanted = sight::Wanted::both;
    double bound = 0.05;                     ///< metres
    std::optional<sight::FloorPlace> first;  ///< the map is of a second camera to one there
};

inline constexpr std::size_t kMostBest = 5;
inline constexpr double kBestApart = 1.5;  ///< metres

struct BestPlaces {
    std::vector<std::size_t> cells;  ///< the best first
    bool keep = false;               ///< all of them keep the bound; false: none does, these come nearest
};
[[nodiscard]] BestPlaces best_places(const sight::PlacingMap& map, const PlacingAsked& asked);

/// "in the air within 28 mm, on coil deck within 9 mm", or why not.
[[nodiscard]] base::Sentence worth_words(const Placing& placing, const sight::PlaceWorth& worth);

/// Why the width that counts is none; where both do, of the one that is missing.
[[nodiscard]] sight::Hindrance hindrance_of(const sight::PlaceWorth& worth, sight::Wanted wanted);

/// Why a camera is worth nothing in so many cells, without what to do: "fewer than four known places in the
/// picture".
struct PlacingReason {
    sight::Hindrance hindrance = sight::Hindrance::none;
    std::size_t cells = 0;
    base::Sentence words;
    base::Sentence remedy;  ///< as sight::said() has it, of the cell that comes nearest
};
/// The most frequent first; of the widths that count.
[[nodiscard]] std::vector<PlacingReason> reasons(const sight::PlacingMap& map, sight::Wanted wanted);

/// What is wanted: "how far something in the air, or on coil deck, is past front plane ...".
[[nodiscard]] base::Sentence wanted_words(const Placing& placing, const PlacingAsked& asked);
/// What all of it rests on, a sentence each; and what it does not prove.
[[nodiscard]] std::vector<base::Sentence> supposed_words(const Placing& placing);
[[nodiscard]] base::Sentence placing_caution();

/// The map is of the placing's plan, the placing of the book.
[[nodiscard]] report::PlacingPicture placing_picture(const course::CourseBook& book, const Placing& placing,
                                                     const sight::PlacingMap& map, const PlacingAsked& asked);

}  // namespace plumbmark::review
