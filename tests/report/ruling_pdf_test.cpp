// The ruling sheet on paper, read back by poppler: its pdftotext, pdfinfo and pdffonts are the outside check
// of what stands in the file. Structure and language: ISO 32000-1, 14.8 and 14.9.2.
#include "report/ruling_pdf.h"

#include <rapidcheck.h>

#include <catch2/catch.hpp>

#include "documents.h"
#include "printed.h"

using namespace plumbmark;
using Catch::Contains;

namespace {

std::string printed(const report::RulingDocument& document, report::PaperSize size = report::PaperSize::a4) {
    const auto pdf = report::ruling_sheet_pdf(document, test::all_stills(document), size);
    REQUIRE(pdf);
    return *pdf;
}

/// The Pier Nine run with many stations, all ruled as one that was.
report::RulingDocument with_stations(std::size_t count) {
    report::RulingDocument document = test::pier_nine();
    const ruling::StationRuling pattern = document.ruling.stations[2];
    while (document.ruling.stations.size() < count) {
        course::Station station = document.book.stations[0];
        station.key = "extra_" + std::to_string(document.book.stations.size());
        station.name = "extra station " + std::to_string(document.book.stations.size());
        ruling::StationRuling ruling = pattern;
        ruling.station = {static_cast<std::int64_t>(document.book.stations.size())};
        document.book.stations.push_back(station);
        document.ruling.stations.push_back(ruling);
    }
    return document;
}

/// And with a review of many marks, all of which its first station rests on.
report::RulingDocument with_marks(std::int64_t count) {
    report::RulingDocument document = test::pier_nine();
    for (std::int64_t i = 0; i < count; ++i) {
        ruling::Mark mark = document.evidence.marks[1];
        mark.id = {1000 + i};
        document.evidence.marks.push_back(mark);
        document.mark_words[mark.id] = "the words of mark " + std::to_string(mark.id.value);
        document.ruling.stations[0].rests_on.push_back(mark.id);
    }
    return document;
}

report::RulingDocument with_appeal() {
    report::RulingDocument document = test::pier_nine();
    report::AppealEntry entry;
    entry.appeal.id = {3};
    entry.appeal.station = "net_traverse";
    entry.appeal.point = "the left foot was on the quay deck first";
    entry.appeal.lodged_by = "T. Coach";
    entry.appeal.lodged_at.ms = 1'777'732'320'000;  // 2026-05-02 14:32 UTC, by date(1)
    entry.decision.emplace();
    entry.decision->outcome = meet::Outcome::call_changed;
    entry.decision->call = meet::Call::clear;
    entry.decision->ruling = ruling::Verdict::clear;
    entry.decision->reason = "both cameras agree";
    entry.decision->decided_at.ms = 1'777'732'320'000 + 600'000;
    entry.decision->signatures = {{"A. Judge", meet::Capacity::head_judge},
                                  {"B. Jury", meet::Capacity::jury}};
    document.appeals.push_back(entry);
    return document;
}

/// The text of everything that is not the page's foot.
std::string last_line_above_the_foot(const std::string& page) {
    const std::size_t foot = page.rfind("Ruling sheet,");
    const std::string text = page.substr(0, foot);
    const std::size_t end = text.find_last_not_of('\n');
    return text.substr(text.rfind('\n', end) + 1, end - text.rfind('\n', end));
}

}  // namespace

TEST_CASE("a ruling of four stations with its stills is one page on A4 and on Letter") {
    if (!test::poppler_is_here()) return;
    const std::string a4 = test::poppler("pdfinfo", "", printed(test::pier_nine()));
    CHECK_THAT(a4, Contains("Pages:           1\n") && Contains("595.276 x 841.89 pts (A4)"));
    const std::string letter =
        test::poppler("pdfinfo", "", printed(test::pier_nine(), report::PaperSize::letter));
    CHECK_THAT(letter, Contains("Pages:           1\n") && Contains("612 x 792 pts (letter)"));
}

TEST_CASE("the same document gives the same bytes, and holds no time of its making") {
    const std::string once = printed(test::pier_nine());
    CHECK(once == printed(test::pier_nine()));
    CHECK(once.find("CreationDate") == std::string::npos);
    CHECK(once.find("ModDate") == std::string::npos);
}

TEST_CASE("a printed sheet is tagged, titled, in English, and its fonts are inside") {
    if (!test::poppler_is_here()) return;
    const std::string pdf = printed(test::pier_nine());
    CHECK_THAT(test::poppler("pdfinfo", "", pdf),
               Contains("Tagged:          yes") && Contains("Title:           ") && Contains("Pier Nine"));
    CHECK_THAT(pdf, Contains("/Lang (en)") && Contains("/DisplayDocTitle true"));
    const std::string structure = test::poppler("pdfinfo", "-struct-text", pdf);
    CHECK_THAT(structure, Contains("H1") && Contains("H2") && Contains("H3") && Contains("Figure"));
    const std::string fonts = test::poppler("pdffonts", "", pdf);
    const std::size_t lines = static_cast<std::size_t>(std::count(fonts.begin(), fonts.end(), '\n'));
    REQUIRE(lines > 2);
    // After two lines of heading: name, type, encoding, embedded, subset, with a map to Unicode.
    std::size_t embedded = 0;
    for (std::size_t at = 0; (at = fonts.find("yes yes yes", at)) != std::string::npos; ++at)
        ++embedded;
    CHECK(embedded == lines - 2);
}

TEST_CASE("a printed sheet says what the page says, from the question to the clips") {
    if (!test::poppler_is_here()) return;
    const report::RulingDocument document = test::pier_nine();
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", printed(document)));
    for (const char* words :
         {"Pier Nine Youth Open", "bib 41", "net traverse", "NOT SHOWN", "CLEAR", "NOT REACHED",
          "The left foot's landing is seen by camera A only, behind the right leg",
          "Any one of these would settle it", "The deciding frames", "not yet", "The marks it turns on",
          "What was watched", "How it was reached", "How to verify it", "plumbmark verify MEETFILE --clips",
          "Who decides", "Head judge",

          "Frames count from 0", "page 1 of 1"}) {
        INFO(words);
        CHECK_THAT(text, Contains(test::squeezed(words)));
    }
    for (const report::ClipEntry& clip : document.clips)
        CHECK_THAT(text, Contains(test::squeezed(clip.fingerprint)));
}

TEST_CASE("what people decided stands on the sheet with when, why and who signed") {
    if (!test::poppler_is_here()) return;
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", printed(with_appeal())));
    for (const char* words :
         {"Appeal 3 about", "Lodged 2026-05-02 14:32 UTC by", "T. Coach",
          "Asked: the left foot was on the quay deck first.",
          "Decided 2026-05-02 14:42 UTC: the call is changed to clear (the review came to CLEAR).",
          "Both cameras agree.", "A. Judge", "(head judge)", "B. Jury", "(jury)"}) {
        INFO(words);
        CHECK_THAT(text, Contains(test::squeezed(words)));
    }
}

TEST_CASE("forty stations break into numbered pages, no heading ends one, and no words overlap") {
    if (!test::poppler_is_here()) return;
    const std::string pdf = printed(with_stations(40));
    const std::vector<std::string> pages = test::pages_as_text(pdf);
    REQUIRE(pages.size() > 2);
    for (std::size_t i = 0; i < pages.size(); ++i) {
        CHECK_THAT(pages[i],
                   Contains("page " + std::to_string(i + 1) + " of " + std::to_string(pages.size())));
        const std::string last = last_line_above_the_foot(pages[i]);
        INFO(last);
        CHECK(last.find("extra station") == std::string::npos);
        CHECK_THAT(last, !Contains("The deciding frames") && !Contains("What was watched"));
    }
    CHECK(test::misplaced(test::placed_words(pdf)) == std::vector<std::string>{});
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", pdf));
    for (int station = 4; station < 40; ++station)
        CHECK_THAT(text, Contains("extrastation" + std::to_string(station)));
}

TEST_CASE("a review of two hundred marks is printed whole, over several pages") {
    if (!test::poppler_is_here()) return;
    const std::string pdf = printed(with_marks(200));
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", pdf));
    for (int mark = 1000; mark < 1200; ++mark)
        CHECK_THAT(text, Contains("thewordsofmark" + std::to_string(mark)));
    CHECK(test::misplaced(test::placed_words(pdf)) == std::vector<std::string>{});
}

TEST_CASE("an empty ruling is a page, too") {
    if (!test::poppler_is_here()) return;
    const std::vector<std::string> pages = test::pages_as_text(printed({}));
    REQUIRE(pages.size() == 1);
    CHECK_THAT(pages[0], Contains("Ruling on the run") && Contains("No stretch of the footage"));
}

TEST_CASE("a name that no line can break is broken anywhere, and nothing of it is lost") {
    if (!test::poppler_is_here()) return;
    std::string name;
    for (int i = 0; i < 200; ++i)
        name += static_cast<char>('A' + i % 26);
    report::RulingDocument document = test::pier_nine();
    document.athlete_name = document.question = document.venue = name;
    document.book.stations[2].name = document.clips[0].file = name;
    const std::string pdf = printed(document);
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", pdf));
    std::size_t found = 0;
    for (std::size_t at = 0; (at = text.find(name, at)) != std::string::npos; ++at)
        ++found;
    CHECK(found >= 5);
    CHECK(test::misplaced(test::placed_words(pdf)) == std::vector<std::string>{});
}

TEST_CASE("names of six scripts come back from the paper as they were written") {
    if (!test::poppler_is_here()) return;
    // Names made up here. What is written from right to left comes back whole in the order of the page only.
    for (const auto& [name, order] : {std::pair{"Łucja Żak-Nguyễn", "-raw"},
                                      {"Αριάδνη Παπά", "-raw"},
                                      {"Ольга Щукина", "-raw"},
                                      {"田中 愛子", "-raw"},
                                      {"प्रिया", "-raw"},
                                      {"محمد علي", "-layout"}}) {
        INFO(name);
        report::RulingDocument document = test::pier_nine();
        document.athlete_name = name;
        CHECK_THAT(test::squeezed(test::poppler("pdftotext", order, printed(document))),
                   Contains(test::squeezed(name)));
    }
}

TEST_CASE("any bytes as a name print: malformed and control ones as boxes") {
    CHECK(rc::check([](const std::string& bytes) {
        report::RulingDocument document = test::pier_nine_failed();
        document.athlete_name = document.question = document.meet_name = "a" + bytes + "\xff\x01";
        document.book.stations[0].name = bytes;
        const auto pdf = report::ruling_sheet_pdf(document, {});
        RC_ASSERT(pdf.ok());
        RC_ASSERT(pdf->substr(0, 5) == "%PDF-");
    }));
}
