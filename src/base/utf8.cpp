#include "base/utf8.h"

namespace plumbmark::base {

void append_utf8(std::string& text, char32_t code_point) {
    const bool none = code_point > 0x10FFFF || (code_point >= 0xD800 && code_point <= 0xDFFF);
    const char32_t c = none ? 0xFFFD : code_point;
    const auto byte = [&text](char32_t bits) {
        text.push_back(static_cast<char>(static_cast<unsigned char>(bits)));
    };
    const auto more = [&](int shift) { byte(0x80 | ((c >> shift) & 0x3F)); };
    if (c < 0x80) {
        byte(c);
    } else if (c < 0x800) {
        byte(0xC0 | (c >> 6));
        more(0);
    } else if (c < 0x10000) {
        byte(0xE0 | (c >> 12));
        more(6);
        more(0);
    } else {
        byte(0xF0 | (c >> 18));
        more(12);
        more(6);
        more(0);
    }
}

}  // namespace plumbmark::base
