// Passphrases in memory.
#include "store/secret_text.h"

#include <catch2/catch.hpp>

using plumbmark::store::SecretText;

TEST_CASE("a secret text takes characters as UTF-8 and gives them back one by one") {
    // The four lengths of UTF-8 (RFC 3629, section 3), at their bounds.
    SecretText text;
    for (const char32_t c : {U'a', U'\x7F', U'\x80', U'\x7FF', U'\x800', U'\xFFFF', U'\x10000', U'\x10FFFF'})
        CHECK(text.append(c));
    CHECK(text.text() == "a\x7F\xC2\x80\xDF\xBF\xE0\xA0\x80\xEF\xBF\xBF\xF0\x90\x80\x80\xF4\x8F\xBF\xBF");
    CHECK(text.length() == 8);
    for (std::size_t left = 8; left-- > 0;) {
        text.take_back();
        CHECK(text.length() == left);
    }
    CHECK(text.text().empty());
    text.take_back();
    CHECK(text.empty());
}

TEST_CASE("a secret text takes no surrogates, nothing beyond Unicode and no more than its room") {
    SecretText text;
    CHECK_FALSE(text.append(char32_t{0xD800}));
    CHECK_FALSE(text.append(char32_t{0xDFFF}));
    CHECK_FALSE(text.append(char32_t{0x110000}));
    CHECK(text.empty());
    const char* memory = text.text().data();
    while (text.append(U'é')) {
    }
    CHECK(text.text().size() == SecretText::kLongest - 1);
    CHECK(text.append(U'e'));
    CHECK_FALSE(text.append(U'e'));
    // It never moved, so no part of it was left behind.
    CHECK(text.text().data() == memory);
}

TEST_CASE("where a secret text was taken back, cleared or moved from, its bytes are gone") {
    SecretText text("hawser and bell");
    const char* memory = text.text().data();
    text.take_back();
    CHECK(memory[14] == '\0');
    SecretText other = std::move(text);
    CHECK(other.text() == "hawser and bel");
    CHECK(text.empty());
    CHECK(other.text().data() == memory);
    other.clear();
    CHECK(std::string(memory, 14) == std::string(14, '\0'));
}
