#include "desk/internal/field_letters.h"

#include <algorithm>

#include "base/text.h"
#include "base/utf8.h"

namespace plumbmark::desk {
namespace {

// Noncharacters, which are there for a program's own use (the Unicode Standard, section 23.7). The toolkit's
// field refuses letters of the private use area when they are typed.
constexpr char32_t kFirst = 0xFDD0, kLast = 0xFDEF, kUnknown = 0xFFFD;

bool needs_one(char32_t letter) {
    const bool private_use = letter >= 0xE000 && letter <= 0xF8FF;
    return letter > 0xFFFF || private_use || (letter >= kFirst && letter <= kLast);
}

}  // namespace

char32_t FieldLetters::for_field(char32_t letter) {
    if (!needs_one(letter)) return letter;
    const auto found = std::find(letters_.begin(), letters_.end(), letter);
    const auto place = static_cast<char32_t>(found - letters_.begin());
    if (place > kLast - kFirst) return kUnknown;
    if (found == letters_.end()) letters_.push_back(letter);
    return kFirst + place;
}

std::string FieldLetters::for_field(std::string_view text) {
    std::string out;
    for (const char32_t letter : base::code_points(text))
        base::append_utf8(out, for_field(letter));
    return out;
}

std::string FieldLetters::meant(std::string_view field) const {
    if (letters_.empty()) return std::string(field);
    std::string out;
    for (const char32_t letter : base::code_points(field)) {
        const bool stands_in = letter >= kFirst && letter - kFirst < letters_.size();
        base::append_utf8(out, stands_in ? letters_[letter - kFirst] : letter);
    }
    return out;
}

}  // namespace plumbmark::desk
