// One still as an inline drawing: the picture, and over it the surfaces, planes and the spot of the contact.
#pragma once

#include <string>

#include "report/ruling_document.h"
#include "report/stills.h"

namespace plumbmark::report {

/// An <svg> with the picture as JPEG data and the drawings over it, or a <p> that says why there is no
/// picture.
[[nodiscard]] std::string still_svg(const RulingDocument& document, const Still& still);

}  // namespace plumbmark::report
