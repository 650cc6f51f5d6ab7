// What the page of the run laid open keeps, and what it asks for.
#pragma once

#include <string>
#include <variant>

#include "meet/ids.h"
#include "review/laid_beside.h"

namespace plumbmark::desk {

struct StudyView {
    meet::RunId other;  ///< beside it; none: it is held against the best of others
    std::string align;  ///< as review::read_align takes it; empty: what is usual
    review::Together together = review::Together::same_moment;
    bool ghost = false;    ///< the other run over this one instead of beside it
    bool pictures = true;  ///< of two runs
    bool words = true;     ///< beside the pictures and the curve
    float scroll = 0;      ///< rows to move the words by when drawn next
};

/// Holds the run against this one; none: against the best of others.
struct StudyAgainst {
    meet::RunId other;
};
/// At what the two lie over each other.
struct StudyAlign {
    std::string wish;
};
using StudyCommand = std::variant<StudyAgainst, StudyAlign>;

}  // namespace plumbmark::desk
