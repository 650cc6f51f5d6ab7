// A course book's mistakes and findings in German: what the window shows, and that the English stays beside
// it.
#include <catch2/catch.hpp>
#include <string>

#include "course/check.h"
#include "course/read.h"
#include "course/test_text.h"
#include "support/in_language.h"

using namespace plumbmark::course;
using plumbmark::test::InLanguage;

namespace {

CourseBook sample() {
    return *read_book(file_text("sample_clips/pier-nine.course")).book;
}

}  // namespace

TEST_CASE("a mistake in a course book is told in German and in English at once") {
    const InLanguage german("de");
    const ReadBook slip = read_book(
        "course = \"a\"\nrevision = \"1\"\n[surfaces]\ncoil_deck = \"x\"\n[[station]]\nkey = \"b\"\nname = "
        "\"b\"\n"
        "strat = \"coil_deck\"\nlanding = { surface = \"coil_dekc\" }\n");
    REQUIRE(slip.problems.size() == 2);
    CHECK(
        slip.problems[0]
            .spoken("hop.course")
            .starts_with(
                "hop.course:8:1: Station »b«: »strat« ist hier kein Schlüssel; erwartet: key, name, start,"));
    CHECK(slip.problems[0].spoken().ends_with(" oder checkpoint. Gemeint ist vielleicht »start«."));
    CHECK(slip.problems[1].spoken() ==
          "9:23: »coil_dekc« ist nicht als Fläche genannt; erwartet: eine Fläche aus [surfaces]. Gemeint ist "
          "vielleicht »coil_deck«.");
    CHECK(slip.problems[1].text("") ==
          "9:23: 'coil_dekc' is not a declared surface; expected a surface from [surfaces]. Did you mean "
          "'coil_deck'?");
}

TEST_CASE("an error for a whole file has a line for each problem in German too") {
    const InLanguage german("de");
    const auto book =
        read_book_or_error("course = 1\nrevision = \"2\"\n[surfaces]\na = \"a\"\n", "hall.course");
    REQUIRE_FALSE(book.ok());
    CHECK(book.error().spoken() ==
          "hall.course:1:1: Parcoursbuch: »station« fehlt; erwartet: Tabellen [[station]] in der "
          "Reihenfolge, in "
          "der sie gelaufen werden.\n"
          "hall.course:1:10: »course« ist die Zahl 1; erwartet: ein Name in Anführungszeichen, etwa \"Pier "
          "Nine "
          "Youth Open, harbour hall\".");
    CHECK(book.error().text().starts_with("hall.course:1:1: the course book has no 'station'; expected "));
}

TEST_CASE("a finding says in German what is so and what to write instead") {
    CourseBook book = sample();
    book.stations[1].start = {book.find_surface("pier_deck")};
    const InLanguage german("de");
    const std::vector<Finding> findings = check_book(book);
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].sentence.spoken() ==
          "Station »bollard hop« landet auf »coil deck« und hat einen gemeinsamen Ausgang, doch Station "
          "»hawser "
          "swing« beginnt auf »pier deck«: Niemand könnte sie beginnen.");
    CHECK(findings[0].repair.spoken() ==
          "Die nächste Station auf der Landung beginnen lassen oder exit = \"free\" schreiben.");
    CHECK(findings[0].sentence.english() ==
          "Station 'bollard hop' lands on 'coil deck' and shares its exit, but station 'hawser swing' starts "
          "from "
          "'pier deck': nobody could begin it.");
}

TEST_CASE("a division that a course book lacks is missed in German") {
    const CourseBook book = sample();
    const InLanguage german("de");
    const auto missing = division_book(book, "nobody");
    REQUIRE_FALSE(missing.ok());
    CHECK(missing.error().spoken().starts_with("Im Parcoursbuch gibt es keine Klasse »nobody«"));
    CHECK(missing.error().text().starts_with("The course book has no division 'nobody'"));
}
