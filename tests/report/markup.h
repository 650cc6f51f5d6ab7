// Reads the sheet's markup back: a plain reader of tags, stricter than any browser.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace plumbmark::test {

struct Markup {
    std::string fault;  ///< what is not well-formed; empty when all is
    std::set<std::string> elements;
    std::vector<std::pair<std::string, std::string>> attributes;
    std::vector<std::string> shape;  ///< each tag with its attributes' names, in order, without any value
    std::string text;                ///< what stands between the tags, references resolved
};

[[nodiscard]] Markup read_markup(const std::string& html);

/// Decodes base64 (RFC 4648, section 4); stops at padding.
[[nodiscard]] std::vector<std::uint8_t> bytes_of_base64(const std::string& text);

}  // namespace plumbmark::test
