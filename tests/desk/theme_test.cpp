// Contrast of words and shapes, by WCAG 2.2.
#include "desk/theme.h"

#include <catch2/catch.hpp>

using namespace plumbmark;
using namespace plumbmark::desk;

TEST_CASE("the contrast formula gives the values of the standard's own extremes") {
    // WCAG 2.2, 'contrast ratio': ranges from 1 to 21.
    CHECK(contrast(rgb(0x000000), rgb(0xFFFFFF)) == Approx(21.0));
    CHECK(contrast(rgb(0x123456), rgb(0x123456)) == Approx(1.0));
    // #777777 on white is just below 4.5 : 1, #767676 just above (common practice, from memory).
    CHECK(contrast(rgb(0x777777), rgb(0xFFFFFF)) < 4.5);
    CHECK(contrast(rgb(0x767676), rgb(0xFFFFFF)) > 4.5);
}

TEST_CASE("words stand out at least 4.5 to 1 in every theme") {
    for (const Theme theme : {Theme::dark, Theme::light, Theme::high_contrast}) {
        const double least = theme == Theme::high_contrast ? 7.0 : 4.5;
        for (const InkPair& pair : ink_pairs(palette(theme))) {
            CAPTURE(theme_words(theme), pair.what);
            CHECK(contrast(pair.ink, pair.ground) >= least);
        }
    }
}

TEST_CASE("a shape that stands out less than 3 to 1 gets an outline that does not") {
    for (const Theme theme : {Theme::dark, Theme::light, Theme::high_contrast}) {
        const Palette& p = palette(theme);
        for (const Colour ground : {p.row, p.segment, p.strip}) {
            CAPTURE(theme_words(theme));
            CHECK(contrast(p.outline, ground) >= 3.0);
        }
        for (const Colour ground : {p.paper, p.paper_focus, p.paper_card})
            CHECK(contrast(p.paper_ink, ground) >= 3.0);
        for (const course::Part part : course::kAllParts)
            CHECK(needs_outline(part_colour(part), p.row) == (contrast(part_colour(part), p.row) < 3.0));
    }
    CHECK(needs_outline(kOrange, rgb(0xFFFFFF)));
    CHECK_FALSE(needs_outline(kOrange, rgb(0x000000)));
}

TEST_CASE("verdicts and limbs have the colours of the colour-blind safe set") {
    // Okabe & Ito, 'Color Universal Design' (2008); the right foot's purple is the project's own.
    CHECK(verdict_colour(ruling::Verdict::clear) == rgb(0x009E73));
    CHECK(verdict_colour(ruling::Verdict::fail) == rgb(0xD55E00));
    CHECK(verdict_colour(ruling::Verdict::not_shown) == rgb(0xE69F00));
    CHECK(part_colour(course::Part::left_hand) == rgb(0x56B4E9));
    CHECK(part_colour(course::Part::left_foot) == rgb(0x0072B2));
    CHECK(part_colour(course::Part::right_hand) == rgb(0xCC79A7));
}
