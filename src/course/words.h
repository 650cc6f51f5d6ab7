// How sentences name what a course book names; explanations of rulings and briefings speak alike.
#pragma once

#include <string>
#include <vector>

#include "course/parts.h"

namespace plumbmark::course {

/// "the coil deck"; a name that already says which one it is ("rung 2", "Pier 9", "the pit") takes no
/// article, nor does one that does not begin with a small Latin letter.
[[nodiscard]] std::string with_article(const std::string& name);

/// Marked for the catalogue of languages: "the left hand", "another part of the body", "hair, clothing or
/// gear".
[[nodiscard]] std::string part_with_article(Part part);

/// "hands"; "feet", "the left hand": pairs by one word, then the rest. Marked for the catalogue of languages.
[[nodiscard]] std::vector<std::string> parts_named(PartSet parts);

/// "hands", "feet and the left hand".
[[nodiscard]] std::string parts_listed(PartSet parts);

}  // namespace plumbmark::course
