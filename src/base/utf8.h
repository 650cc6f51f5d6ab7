// Writing letters as UTF-8.
#pragma once

#include <string>

namespace plumbmark::base {

/// Adds the code point as UTF-8 (RFC 3629, section 3). U+FFFD for what is none: surrogates, and beyond
/// U+10FFFF. Any thread.
void append_utf8(std::string& text, char32_t code_point);

}  // namespace plumbmark::base
