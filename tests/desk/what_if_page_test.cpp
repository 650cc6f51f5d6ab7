// What another course book would change, as the window tells it: in English what the command line prints.
#include "desk/internal/what_if_page.h"

#include <catch2/catch.hpp>
#include <sstream>

#include "base/catalogue.h"
#include "course/read.h"
#include "support/in_language.h"

using namespace plumbmark;

namespace {

course::CourseBook book() {
    auto read = course::read_book_or_error(
        "course = \"Pier Nine trial\"\nrevision = \"3\"\n"
        "[surfaces]\npier = \"pier deck\"\ncoil = \"coil deck\"\n"
        "[[station]]\nkey = \"hop\"\nname = \"bollard hop\"\nstart = \"pier\"\n"
        "[station.landing]\nsurface = \"coil\"\nparts = \"any foot\"\n"
        "[[station]]\nkey = \"swing\"\nname = \"hawser swing\"\nstart = \"coil\"\n"
        "[station.landing]\nsurface = \"pier\"\nparts = \"any foot\"\n",
        "trial.course");
    INFO((read ? std::string() : read.error().text()));
    REQUIRE(read.ok());
    return std::move(*read);
}

/// As it is made while a language is chosen.
base::Sentence said(const char* english, const char* german) {
    return base::english_is_chosen() ? base::Sentence(english) : base::Sentence(english, german);
}

report::RuledSide side(ruling::Verdict second, const base::Sentence& why, std::int32_t points = 0) {
    report::RuledSide side{"3", book(), ruling::RunRuling{}, std::nullopt};
    side.ruling->sentence = said("one cleared", "eine geschafft");
    side.ruling->stations.resize(2);
    for (ruling::StationRuling& station : side.ruling->stations) {
        station.verdict = ruling::Verdict::clear;
        station.points = {0, points};
    }
    side.ruling->stations[1].verdict = second;
    side.ruling->stations[1].sentence = why;
    return side;
}

report::RuledSide not_ruled(const base::Sentence& why) {
    return {"4", book(), std::nullopt, base::Error{base::Category::contradiction, why, ""}};
}

/// A run of each kind.
report::WhatIfDocument document() {
    using enum ruling::Verdict;
    const report::RuledSide before =
        side(clear, said("right foot on the pier deck", "rechter Fuß auf dem Deck"));
    report::RuledSide after =
        side(fail, said("the left foot touched the floor", "der linke Fuß berührte »floor«"));
    after.ruling->stations[1].if_reached = true;
    after.ruling->sentence = "";
    report::RuledSide more = before;
    more.ruling->stations[0].points = {0, 3};
    return {"1.0",
            "Pier Nine Youth Open",
            "edited.course",
            "4",
            {"brush_counts = false"},
            {{"run 1", before, before},
             {"run 2", before, after},
             {"run 3", before, not_ruled(said("cannot both be true", "können nicht beide wahr sein"))},
             {"run 4", not_ruled("it was so"), before},
             {"run 5", not_ruled("too tangled"), not_ruled("too tangled still")},
             {"run 6", before, more}}};
}

std::string written_out(const std::vector<desk::PageLine>& lines) {
    std::string text;
    for (const desk::PageLine& line : lines)
        text += std::string(static_cast<std::size_t>(line.depth) * 3, ' ') + line.text + "\n";
    return text;
}

}  // namespace

TEST_CASE("the page on what would change says in English what the command line prints") {
    report::WhatIfDocument one = document();
    CHECK(written_out(desk::what_if_page(one)) == report::what_if_text(one));
    one.runs.resize(1);
    CHECK(written_out(desk::what_if_page(one)) == report::what_if_text(one));
    one.runs.clear();
    one.settings.clear();
    CHECK(written_out(desk::what_if_page(one)) == report::what_if_text(one));
    const report::WhatIfDocument all = document();
    one.runs = {all.runs[2], all.runs[3]};
    CHECK(written_out(desk::what_if_page(one)) == report::what_if_text(one));
}

TEST_CASE("the page on what would change speaks German with the reasons") {
    const test::InLanguage german("de");
    CHECK(written_out(desk::what_if_page(document())) ==
          "Was sich in Pier Nine Youth Open ändern würde mit Parcoursbuch edited.course, Revision 4 und "
          "brush_counts = false:\n\n"
          "run 2: eine geschafft\n"
          "   nach der Änderung: kein Ergebnis\n"
          "   hawser swing: GESCHAFFT, nach der Änderung NICHT GESCHAFFT, falls erreicht\n"
          "      davor: Rechter Fuß auf dem Deck.\n"
          "      danach: Der linke Fuß berührte »floor«.\n\n"
          "run 3: lässt sich nicht mehr entscheiden\n"
          "   können nicht beide wahr sein\n\n"
          "run 4: lässt sich nach der Änderung entscheiden; davor nicht\n"
          "   it was so\n\n"
          "run 5: lässt sich nicht entscheiden, weder davor noch danach\n"
          "   too tangled still\n\n"
          "run 6: eine geschafft\n"
          "   bollard hop: weiterhin GESCHAFFT\n"
          "      Punkte: 0 oder 0, nach der Änderung 0 oder 3\n\n"
          "1 von 6 Läufen ändert sich nicht.\n");
}
