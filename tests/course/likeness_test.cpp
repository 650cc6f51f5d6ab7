// Which words are alike. The pairs of letters that look alike are from the data of Unicode Technical Standard
// 39 as ICU holds them; one edit is the 'optimal string alignment' distance, held to base::edit_distance.
#include "course/internal/likeness.h"

#include <rapidcheck.h>

#include <catch2/catch.hpp>

#include "base/text.h"

using namespace plumbmark::course::internal;

namespace {

Likeness of(std::string_view a, std::string_view b) {
    const ComparedWord first(a);
    const ComparedWord second(b);
    const Likeness there = likeness(first, second);
    CHECK(likeness(second, first) == there);
    return there;
}

}  // namespace

TEST_CASE("capitals, joined words and the encoding of letters make no difference") {
    CHECK(of("Coil deck", "coil deck") == Likeness::same_folded);
    CHECK(of("coil_deck", "coil-deck") == Likeness::same_folded);
    CHECK(of("coil  deck ", "coil deck") == Likeness::same_folded);
    // U+00E9, and e with U+0301 (Unicode Standard, 3.11: canonically equivalent).
    CHECK(of("caf\xC3\xA9", "cafe\xCC\x81") == Likeness::same_folded);
    // The final sigma is folded onto the other (Unicode Standard, CaseFolding.txt: 03C2).
    CHECK(of("ΚΆΒΟΣ", "κάβος") == Likeness::same_folded);
    // Full-width letters are compatibility characters (U+FF44 and so on).
    CHECK(of("ｄｅｃｋ", "deck") == Likeness::same_folded);
}

TEST_CASE("letters that look alike are told") {
    CHECK(of("c0il", "cOil") == Likeness::look_same);
    CHECK(of("rung 1", "rung l") == Likeness::look_same);
    CHECK(of("rung 1", "rung I") == Likeness::look_same);
    CHECK(of("deck", "dеck") == Likeness::look_same);  // with the Cyrillic letter U+0435
    CHECK(of("barn", "bam") == Likeness::look_same);
    CHECK(of("rung 1", "rung 7") == Likeness::none);
}

TEST_CASE("one letter apart counts from four letters on") {
    CHECK(of("hawser", "hawsers") == Likeness::one_letter);
    CHECK(of("left rail", "lift rail") == Likeness::one_letter);
    CHECK(of("coildeck", "coil deck") == Likeness::one_letter);
    CHECK(of("ring", "rung") == Likeness::one_letter);
    CHECK(of("rig", "rug") == Likeness::none);
    CHECK(of("rail", "trails") == Likeness::none);
}

TEST_CASE("what tells the members of a row apart is no slip") {
    CHECK(of("rung 1", "rung 2") == Likeness::none);
    CHECK(of("rung 1", "rung 11") == Likeness::none);
    CHECK(of("rung_1", "rung_12") == Likeness::none);
    CHECK(of("rung", "rung2") == Likeness::none);
    CHECK(of("5th rung", "6th rung") == Likeness::none);
    CHECK(of("coil_deck_a", "coil_deck_b") == Likeness::none);
    CHECK(of("rung III", "rung II") == Likeness::none);
    CHECK(of("第一の横木", "第二の横木") == Likeness::none);
    CHECK(of("first bollard", "third bollard") == Likeness::none);
}

TEST_CASE("any bytes can be compared") {
    CHECK(of("", "") == Likeness::same_folded);
    CHECK(of("\xFF\xFE", "deck") == Likeness::none);
    CHECK(of("🪢 knot", "🪢 knots") == Likeness::one_letter);
    CHECK(rc::check("a word is like itself, whatever it is", [](const std::string& bytes) {
        RC_ASSERT(likeness(ComparedWord(bytes), ComparedWord(bytes)) == Likeness::same_folded);
    }));
}

TEST_CASE("one letter apart is one edit by the textbook's table") {
    CHECK(rc::check("agrees with base::edit_distance", [] {
        const auto letters = rc::gen::container<std::string>(rc::gen::element('k', 'd', 'e'));
        const std::string a = "rope" + *letters;
        std::string b = a;
        const auto at = static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(b.size())));
        switch (*rc::gen::inRange(0, 4)) {
            case 0:
                b.erase(at, 1);
                break;
            case 1:
                b.insert(at, 1, 'k');
                break;
            case 2:
                b[at] = 'd';
                break;
            default:
                b = "rope" + *letters;
        }
        RC_PRE(b.size() >= 4);
        const int distance = plumbmark::base::edit_distance(a, b);
        const Likeness there = likeness(ComparedWord(a), ComparedWord(b));
        RC_ASSERT((there == Likeness::same_folded) == (distance == 0));
        RC_ASSERT((there == Likeness::one_letter) == (distance == 1));
    }));
}
