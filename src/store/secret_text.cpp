#include "store/secret_text.h"

#include <algorithm>
#include <array>

namespace plumbmark::store {
namespace {

bool goes_on(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

}  // namespace

std::size_t SecretText::length() const {
    return static_cast<std::size_t>(
        std::count_if(text_.begin(), text_.end(), [](char c) { return !goes_on(c); }));
}

bool SecretText::append(char32_t character) {
    // UTF-8 (RFC 3629), written in place: base::utf8 would leave a copy.
    std::array<char, 4> bytes{};
    const auto c = static_cast<std::uint32_t>(character);
    const auto low = [c](unsigned shift) { return static_cast<char>(0x80U | ((c >> shift) & 0x3FU)); };
    std::size_t count = 1;
    if (c < 0x80) {
        bytes = {static_cast<char>(c)};
    } else if (c < 0x800) {
        count = 2, bytes = {static_cast<char>(0xC0U | (c >> 6U)), low(0)};
    } else if (c < 0x10000) {
        count = 3, bytes = {static_cast<char>(0xE0U | (c >> 12U)), low(6), low(0)};
    } else {
        count = 4, bytes = {static_cast<char>(0xF0U | (c >> 18U)), low(12), low(6), low(0)};
    }
    if (c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF) || text_.size() + count > kLongest) return false;
    text_.append(bytes.data(), count);
    return true;
}

void SecretText::take_back() {
    bool more = !text_.empty();
    while (more) {
        more = goes_on(text_.back());
        text_.back() = '\0';
        text_.pop_back();
        more = more && !text_.empty();
    }
}

}  // namespace plumbmark::store
