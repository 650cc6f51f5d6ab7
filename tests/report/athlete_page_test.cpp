// The athlete's page: what it says of a run, on a terminal, as a page and on paper.
#include "report/athlete_page.h"

#include <catch2/catch.hpp>
#include <memory>

#include "documents.h"
#include "markup.h"
#include "printed.h"

using namespace plumbmark;
using Catch::Contains;

namespace {

constexpr std::int64_t kMs = 1'000'000;

study::Length length(std::int64_t low, std::int64_t high) {
    return {base::Duration{low * kMs}, base::Duration{high * kMs}, {}};
}

/// The Pier Nine run with figures written down by hand.
std::shared_ptr<report::LaidOpen> laid_open(const std::string& label, std::int64_t hop, std::int64_t swing) {
    const report::RulingDocument ruling = test::pier_nine();
    auto spans = ruling::Spans::make(ruling.evidence);
    REQUIRE(spans.ok());
    auto open = std::make_shared<report::LaidOpen>(
        report::LaidOpen{{"open.meet", "Pier Nine Youth Open", "2026-05-02", label, "41", "Petrel"},
                         "3",
                         std::make_shared<const course::CourseBook>(ruling.book),
                         {ruling.evidence, std::move(*spans), {}, {}}});
    study::RunFigures& figures = open->run.figures;
    for (std::int64_t k = 0; k < 4; ++k) {
        study::StationFigures& station = figures.stations.emplace_back();
        station.station = {k};
        station.verdict = ruling.ruling.stations[static_cast<std::size_t>(k)].verdict;
    }
    figures.stations[0].time = figures.stations[0].from_start = length(hop, hop + 30);
    figures.stations[1].time = length(swing, swing + 30);
    figures.stations[1].hands = {{{2}, {3}, length(400, 430)}};
    figures.stations[1].touches = {{course::Part::left_hand, 2, 3}, {course::Part::right_hand, 0, 0}};
    figures.grips = {{course::Part::left_hand, {2}, {2}, {3}, {1}, length(500, 540)}};
    figures.grips[0].time.doubt.unwatched = true;
    figures.flights = {{{2}, {3}, {}, length(100, 140)}};
    return open;
}

report::Reference best(const report::LaidOpen& mine, const report::LaidOpen& other) {
    report::Reference reference;
    reference.group = "the athlete's other runs";
    reference.runs = {other.name};
    for (std::size_t k = 0; k < mine.book->stations.size(); ++k) {
        study::StationLoss loss{{static_cast<std::int64_t>(k)},
                                mine.run.figures.stations[k].time,
                                other.run.figures.stations[k].time,
                                {},
                                1};
        loss.lost = study::difference(loss.mine, loss.theirs);
        reference.stations.push_back(
            {mine.book->stations[k].key, mine.book->stations[k].name, k, std::nullopt, loss.lost});
        reference.losses.push_back(loss);
    }
    return reference;
}

report::AthletePage page() {
    report::AthletePage out;
    const auto mine = laid_open("run 4", 2'000, 3'000), other = laid_open("run 1", 1'500, 3'010);
    out.ruling = test::pier_nine();
    out.figures.runs = {mine};
    out.figures.references = {best(*mine, *other)};
    report::CompareDocument beside;
    beside.runs = {mine, other};
    beside.two.emplace();
    beside.two->stations = out.figures.references[0].stations;
    for (report::StationPair& pair : beside.two->stations)
        pair.b = pair.a;
    beside.two->anchor = report::Anchor{"start", {1}, {1}, "the start", false};
    const study::Difference none = study::difference(length(0, 0), length(0, 0));
    const study::Difference late = study::difference(length(2'000, 2'030), length(1'500, 1'530));
    beside.two->curve = {{{{1}, {1}, {}}, none, none}, {{{2}, {2}, {0}}, late, late}};
    beside.two->stations_of_curve = {"", "bollard_hop"};
    out.beside = {beside};
    out.notes = {{"camera A",
                  337,
                  test::frame_time(337),
                  "Look where the foot lands.\nThen look up.",
                  test::plain_picture(320, 180),
                  {},
                  "note-1-f277-397.mp4"},
                 {"camera B", 12, test::frame_time(12), "Breathe.", std::nullopt, {}, ""}};
    out.faces = "Faces in these pictures were searched for by program.";
    return out;
}

}  // namespace

TEST_CASE("an athlete's page says in the terminal what was lost where with its bounds") {
    const std::string text = report::athlete_page_text(page());
    CHECK_THAT(text, Contains("run 4, number 41, Petrel\n"));
    CHECK_THAT(text, Contains("Against the best of the athlete's other runs (run 1, number 41, Petrel):\n"
                              "   bollard hop: lost 0.50 s, between 0.47 and 0.53 s\n"
                              "   no difference that these frames can show: hawser swing\n"
                              "   not known: net traverse and keel beam\n"));
    CHECK_THAT(
        text,
        Contains("   most was lost between 'start signal' and 'left foot touches coil deck (with weight)': "
                 "lost 0.50 s, between 0.47 and 0.53 s\n"));
    CHECK_THAT(text, Contains("1. bollard hop: CLEAR\n") && Contains("   time: 2.00 to 2.03 s\n") &&
                         Contains("3. net traverse: NOT SHOWN\n"));
    CHECK_THAT(text, Contains("   grips: left hand on hawser 0.50 to 0.54 s (not watched all through)\n") &&
                         Contains("   touches: left hand 2 or 3\n") &&
                         Contains("   rhythm of the hands: 0.40 to 0.43 s\n"));
    CHECK_THAT(text, Contains("Between the stations and after the last\n   flights: 0.10 to 0.14 s from"));
    CHECK_THAT(text,
               Contains("   1. camera A, f 337, ") &&
                   Contains("Look where the foot lands. Then look up.\n      clip: note-1-f277-397.mp4\n"));
    CHECK_THAT(text, Contains("time: none: nothing that fits the frames clears it\n"));
}

TEST_CASE("the page as HTML is self contained and has the notes and their picture and every plot") {
    const std::string html = report::athlete_page_html(page());
    const test::Markup markup = test::read_markup(html);
    CHECK(markup.fault.empty());
    for (const char* element : {"script", "link", "iframe", "object", "form"})
        CHECK_FALSE(markup.elements.contains(element));
    std::size_t pictures = 0, plots = 0;
    for (const auto& [name, value] : markup.attributes) {
        if (name == "src") {
            ++pictures;
            CHECK(value.starts_with("data:image/jpeg;base64,"));
        }
        plots += name == "class" && value == "plot" ? 1 : 0;
        CHECK(name != "href");
    }
    CHECK(pictures == 1);
    CHECK(plots == 3);
    CHECK_THAT(markup.text, Contains("Look where the foot lands.\nThen look up.") &&
                                Contains("lost 0.50 s, between 0.47 and 0.53 s") &&
                                Contains("no difference that these frames can show: hawser swing") &&
                                Contains("Faces in these pictures were searched for by program."));
    CHECK(report::athlete_page_html(page()) == html);
}

TEST_CASE("notes and names on the page are inert text") {
    report::AthletePage hostile = page();
    for (report::PageNote& note : hostile.notes)
        note.text = note.clip = note.short_clip = test::kHostile;
    hostile.faces = test::kHostile;
    auto mine = std::make_shared<report::LaidOpen>(*hostile.figures.runs[0]);
    mine->name.athlete = mine->name.label = test::kHostile;
    hostile.figures.runs = {mine};
    hostile.ruling.athlete_name = hostile.ruling.meet_name = test::kHostile;
    hostile.figures.references[0].group = base::Sentence(test::kHostile);
    const test::Markup markup = test::read_markup(report::athlete_page_html(hostile));
    CHECK(markup.fault.empty());
    CHECK(markup.shape == test::read_markup(report::athlete_page_html(page())).shape);
    CHECK_THAT(report::athlete_page_text(hostile), !Contains("\x1b"));
}

TEST_CASE("a picture that is missing is told and a page without notes or others is a page") {
    report::AthletePage bare = page();
    bare.notes[0].picture.reset();
    bare.notes[0].no_picture = "The clip's file is away.";
    CHECK_THAT(report::athlete_page_text(bare), Contains("      No picture: The clip's file is away.\n"));
    CHECK_THAT(report::athlete_page_html(bare), Contains("No picture: The clip&#39;s file is away."));
    bare.notes.clear();
    bare.beside.clear();
    bare.figures.references.clear();
    const test::Markup markup = test::read_markup(report::athlete_page_html(bare));
    CHECK(markup.fault.empty());
    CHECK_THAT(markup.text, !Contains("Against") && Contains("Station by station"));
    CHECK(report::athlete_page_pdf(bare).ok());
}

TEST_CASE("the printed page says what the page says and no word lies over another") {
    const auto pdf = report::athlete_page_pdf(page());
    REQUIRE(pdf.ok());
    CHECK(*pdf == *report::athlete_page_pdf(page()));
    if (!test::poppler_is_here()) return;
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", *pdf));
    for (const char* words :
         {"run 4, number 41, Petrel", "lost 0.50 s, between 0.47 and 0.53 s", "Look where the foot lands.",
          "no difference that these frames can show: hawser swing", "note-1-f277-397.mp4",
          "left hand on hawser 0.50 to 0.54 s (not watched all through)", "Times of the stations", "Rhythm",
          "searched for by program"})
        CHECK_THAT(text, Contains(test::squeezed(words)));
    const test::Placed placed = test::placed_words(*pdf);
    for (const std::string& wrong : test::misplaced(placed))
        FAIL_CHECK(wrong);
    CHECK_THAT(test::poppler("pdfinfo", "", *pdf), Contains("Tagged:          yes"));
}
