// A first look at the bytes of a hand-written file, before a TOML parser sees them.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace plumbmark::cli {

struct Unfit {
    std::size_t offset = 0;  ///< of the first byte that is not taken
    std::string found, expected;
};

/// What a parser should not see. toml++ 3.3 and 3.4 leave undefined what they do with some mistakes (a
/// heading without a name, letters beyond ASCII outside of texts, quotation marks within words), and they
/// recurse on brackets and dots; so those are refused here, and with them what a points file has no use for:
/// texts over several lines. Nothing where a parser may have the text.
[[nodiscard]] std::optional<Unfit> first_look(std::string_view text);

}  // namespace plumbmark::cli
