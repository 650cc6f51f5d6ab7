// What a report cannot do is said to a window in its language; documents stay English.
#include <catch2/catch.hpp>

#include "report/annotated_picture.h"
#include "support/in_language.h"

namespace plumbmark::report {

TEST_CASE("a picture of another size is refused in German as well", "[spoken]") {
    const test::InLanguage german("de");
    const PictureAnnotator annotator(320, 180, std::nullopt, 0);
    media::RgbaImage picture;
    picture.width = 2;
    picture.height = 1;
    picture.pixels.assign(8, 0);
    const auto drawn = annotator.draw(picture, {});
    REQUIRE_FALSE(drawn.ok());
    CHECK(drawn.error().text() == "A picture of 2 by 1 does not fit where 320 by 180 is drawn.");
    CHECK(drawn.error().spoken() == "Ein Bild von 2 mal 1 passt nicht, wo 320 mal 180 gezeichnet wird.");
}

}  // namespace plumbmark::report
