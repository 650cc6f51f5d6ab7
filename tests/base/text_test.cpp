// Words that people read.
#include "base/text.h"

#include <rapidcheck.h>

#include <algorithm>
#include <catch2/catch.hpp>

#include "base/utf8.h"

using namespace plumbmark::base;

TEST_CASE("well-formed UTF-8 is told from ill-formed") {
    // The rows of the Unicode Standard's table 3-7 ('Well-Formed UTF-8 Byte Sequences'), first and last of
    // each.
    for (const char* good :
         {"", "a", "\x7F", "\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xEC\xBF\xBF", "\xED\x80\x80",
          "\xED\x9F\xBF", "\xEE\x80\x80", "\xEF\xBF\xBF", "\xF0\x90\x80\x80", "\xF3\xBF\xBF\xBF",
          "\xF4\x80\x80\x80", "\xF4\x8F\xBF\xBF"}) {
        INFO(good);
        CHECK(is_utf8(good));
    }
    for (const char* bad :
         {"\x80", "\xBF", "\xC0\x80", "\xC1\xBF", "\xC2", "\xC2\x41", "\xE0\x9F\xBF", "\xED\xA0\x80",
          "\xED\xBF\xBF", "\xE1\x80", "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80",
          "\xF1\x80\x80", "\xFE", "\xFF", "good\xFF"}) {
        INFO(bad);
        CHECK_FALSE(is_utf8(bad));
    }
}

TEST_CASE("code points of every script come out whole, ill-formed bytes one by one as U+FFFD") {
    CHECK(code_points("aλ日🪢") == U"aλ日🪢");
    CHECK(code_points("a\xFF\xC0z") == U"a\uFFFD\uFFFDz");
    CHECK(code_points("\xE3\x81") == U"\uFFFD\uFFFD");
}

TEST_CASE("the edit distance counts letters, and a swap of neighbours once") {
    CHECK(edit_distance("", "") == 0);
    CHECK(edit_distance("", "abc") == 3);
    CHECK(edit_distance("kitten", "sitting") == 3);  // the usual textbook pair
    CHECK(edit_distance("coil_dekc", "coil_deck") == 1);
    CHECK(edit_distance("ca", "abc") ==
          3);  // 2 in Damerau's unrestricted form, 3 in the restricted one used here
    CHECK(edit_distance("係船注", "係船柱") == 1);
    CHECK(edit_distance("λιμανι", "λιμάνι") == 1);
}

TEST_CASE("the edit distance is symmetric, zero only for equal words, and at most the longer word") {
    CHECK(rc::check("edit distance", [] {
        const auto word = rc::gen::container<std::string>(rc::gen::inRange('a', 'd'));
        const std::string a = *word;
        const std::string b = *word;
        const int distance = edit_distance(a, b);
        RC_ASSERT(distance == edit_distance(b, a));
        RC_ASSERT((distance == 0) == (a == b));
        RC_ASSERT(distance <= static_cast<int>(std::max(a.size(), b.size())));
        const auto difference = static_cast<int>(a.size()) - static_cast<int>(b.size());
        RC_ASSERT(distance >= std::abs(difference));
    }));
}

TEST_CASE("the nearest name is found for a slip of the pen and for nothing worse") {
    const std::vector<std::string> known{"coil_deck", "pier_deck", "hawser", "rung_1", "rung_2"};
    CHECK(nearest_name("coil_dekc", known) == "coil_deck");
    CHECK(nearest_name("hawsr", known) == "hawser");
    CHECK(nearest_name("Hawser", known) == "hawser");
    CHECK(nearest_name("rung_3", known) == "rung_1");  // a tie: the first
    CHECK(nearest_name("hawser", known) == "hawser");
    CHECK_FALSE(nearest_name("warehouse", known).has_value());
    CHECK_FALSE(nearest_name("anything", {}).has_value());
    CHECK(nearest_name("b", {"a"}) == "a");  // one letter is always a slip
}

TEST_CASE("words are listed with commas and a last conjunction") {
    CHECK(listed({}) == "");
    CHECK(listed({"a"}) == "a");
    CHECK(listed({"a", "b"}) == "a and b");
    CHECK(listed({"a", "b", "c"}, "or") == "a, b or c");
}

TEST_CASE("things are counted with their plural") {
    CHECK(counted(1, "frame") == "1 frame");
    CHECK(counted(0, "frame") == "0 frames");
    CHECK(counted(2, "frame") == "2 frames");
    CHECK(counted(-1, "frame") == "-1 frames");
}

TEST_CASE("a sentence begins in upper case where its first letter has one in ASCII") {
    CHECK(sentence_case("left hand") == "Left hand");
    CHECK(sentence_case("") == "");
    CHECK(sentence_case("λιμάνι") == "λιμάνι");
    CHECK(sentence_case("2 feet") == "2 feet");
}

TEST_CASE("letters are written as UTF-8, and what is none as the sign for that") {
    // RFC 3629, section 7, and the first and last of each length (section 3).
    const std::pair<std::u32string, std::string> cases[] = {
        {U"A\u2262\u0391.", "\x41\xE2\x89\xA2\xCE\x91\x2E"},
        {U"\uD55C\uAD6D\uC5B4", "\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4"},
        {U"\u65E5\u672C\u8A9E", "\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E"},
        {U"\uFEFF\U000233B4", "\xEF\xBB\xBF\xF0\xA3\x8E\xB4"},
        {U"\x7F\x80\u07FF\u0800\uFFFF\U00010000\U0010FFFF",
         "\x7F\xC2\x80\xDF\xBF\xE0\xA0\x80\xEF\xBF\xBF\xF0\x90\x80\x80\xF4\x8F\xBF\xBF"},
        {{0xD800, 0xDFFF, 0x110000}, "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"}};
    for (const auto& [letters, bytes] : cases) {
        std::string text;
        for (const char32_t letter : letters)
            append_utf8(text, letter);
        CHECK(text == bytes);
    }
}
