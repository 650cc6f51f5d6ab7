#include "report/ruling_sheet.h"

#include <rapidcheck.h>

#include <catch2/catch.hpp>
#include <limits>
#include <set>

#include "documents.h"
#include "markup.h"
#include "media/still.h"

using namespace plumbmark;
using Catch::Contains;
using test::Markup;

namespace {

std::string sheet(const report::RulingDocument& document) {
    return report::ruling_sheet_html(document, test::all_stills(document));
}

/// The document with this name wherever a person can write one.
report::RulingDocument named(report::RulingDocument document, const std::string& name) {
    document.meet_name = document.venue = document.date = document.run_label = name;
    document.athlete_name = document.athlete_number = document.question = name;
    document.program_version = document.book.name = document.book.revision = name;
    for (report::FloorCallEntry& call : document.floor_calls)
        call.judge = name;
    for (course::Surface& surface : document.book.surfaces)
        surface.name = name;
    for (course::Station& station : document.book.stations)
        station.name = name;
    for (report::ClipEntry& clip : document.clips)
        clip.name = clip.file = clip.fingerprint = name;
    for (auto& [id, words] : document.mark_words)
        words = name;
    document.book.planes[0].name = document.ruling.sentence = name;
    for (ruling::StationRuling& station : document.ruling.stations) {
        station.sentence = name;
        for (ruling::ClauseFinding& finding : station.clauses)
            finding.sentence = name;
        for (ruling::World& world : station.worlds)
            world.sentence = name;
        for (ruling::SettleStep& step : station.settle)
            step.sentence = name;
    }
    return document;
}

std::string named_sheet(const std::string& name) {
    const report::RulingDocument document = named(test::pier_nine(), name);
    std::vector<report::Still> pictures = test::all_stills(document);
    for (report::Still& still : pictures) {
        still.caption = name;
        for (report::StillOutline& outline : still.outlines)
            outline.name = name;
    }
    return report::ruling_sheet_html(document, pictures);
}

}  // namespace

TEST_CASE("a sheet is well-formed: every element that opens closes in its place") {
    for (const auto& document : {test::pier_nine(), test::pier_nine_failed(), report::RulingDocument{}})
        CHECK(test::read_markup(sheet(document)).fault == "");
}

TEST_CASE("a sheet needs nothing but itself: no script, nothing fetched, every picture as data") {
    const std::string html = sheet(test::pier_nine());
    const Markup markup = test::read_markup(html);
    CHECK(markup.elements.count("script") + markup.elements.count("link") + markup.elements.count("iframe") ==
          0);
    int pictures = 0;
    for (const auto& [name, value] : markup.attributes) {
        INFO(name << "=" << value.substr(0, 60));
        CHECK(name.rfind("on", 0) != 0);
        if (name == "src" || name == "href") {
            CHECK(value.rfind("data:image/jpeg;base64,", 0) == 0);
            ++pictures;
        }
    }
    CHECK(pictures == 4);
    for (const char* outside : {"http://", "https://", "url(", "@import", "javascript:"})
        CHECK(html.find(outside) == std::string::npos);
    CHECK_THAT(html, Contains("default-src 'none'; img-src data:; style-src 'unsafe-inline'"));
}

TEST_CASE("a hostile name changes no element and no attribute, wherever it stands") {
    const Markup tame = test::read_markup(named_sheet("a name"));
    for (const char* name :
         {test::kHostile, "]]>--><svg onload=a()>", "' onclick='a()", "\" style=\"x", "</title></h1>",
          "&lt;script&gt;", "<!--", "http://nowhere.example/\" src=\"http://nowhere.example"}) {
        INFO(name);
        const Markup hostile = test::read_markup(named_sheet(name));
        CHECK(hostile.fault == "");
        CHECK(hostile.shape == tame.shape);
    }
    CHECK_THAT(named_sheet(test::kHostile), Contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
}

TEST_CASE("any bytes as names leave the shape of a sheet as it was") {
    const std::vector<std::string> expected = test::read_markup(named_sheet("a name")).shape;
    CHECK(rc::check([&expected](const std::string& bytes) {
        const Markup markup = test::read_markup(named_sheet("a" + bytes));
        RC_ASSERT(markup.fault == std::string());
        RC_ASSERT(markup.shape == expected);
    }));
}

TEST_CASE("each verdict has its own shape and its word beside it") {
    const std::string html = sheet(test::pier_nine());
    const auto rung = [&html](const std::string& name) {
        const std::size_t at = html.find("<bdi>" + name + "</bdi></h3>");
        REQUIRE(at != std::string::npos);
        const std::size_t from = html.rfind("<li", at);
        return html.substr(from, html.find("</div>", at) - from);
    };
    CHECK_THAT(rung("bollard hop"), Contains("<circle") && Contains("#009E73") && Contains("<b>CLEAR</b>"));
    CHECK_THAT(rung("net traverse"), Contains("<path") && Contains("fill=\"none\"") && Contains("#E69F00") &&
                                         Contains("<b>NOT SHOWN</b>") && Contains("class=\"asked\""));
    CHECK_THAT(rung("keel beam"), Contains("height=\"2.4\"") && Contains("<b>NOT REACHED</b>"));
    const std::string failed = sheet(test::pier_nine_failed());
    CHECK_THAT(failed, Contains("height=\"10.4\" fill=\"#D55E00\"") && Contains("<b>FAIL</b>"));
}

TEST_CASE("the question stands on top and the ruling in a sentence under it") {
    const std::string text = test::read_markup(sheet(test::pier_nine())).text;
    const std::size_t question =
        text.find("Were both feet on the quay deck before the floor was touched?", 400);
    const std::size_t answer = text.find(
        "Net traverse: NOT SHOWN. The floor call was fail. The call stands: the footage "
        "neither upholds nor overturns it.");
    REQUIRE(question != std::string::npos);
    REQUIRE(answer != std::string::npos);
    CHECK(question < answer);
    CHECK(answer < text.find("1 bollard hop"));
    CHECK_THAT(text, Contains("Run: two or three cleared."));
}

TEST_CASE("the sheet names times, margin, what was watched, who decides, the course book and the clips") {
    const std::string text = test::read_markup(sheet(test::pier_nine())).text;
    CHECK_THAT(
        text,
        Contains("Decided on camera A, f 852 to 853 (0:14.200 to 0:14.216); margin 3 frames (50 ms); rests "
                 "on marks 1, 3 and 8."));
    CHECK_THAT(text, Contains("camera B, f 900 to 1000 (0:15.000 to 0:16.666): floor, net and front plane"));
    CHECK_THAT(text,
               Contains("left foot touches quay deck or left foot touches floor: camera A, f 1116 to 1119"));
    CHECK_THAT(text, Contains("Head judge") && Contains("Second judge") && Contains("Coach, has seen it"));
    CHECK_THAT(text, Contains("Video never shows when something happened"));
    CHECK_THAT(text, Contains("Course book Pier Nine, revision 3."));
    CHECK_THAT(text, Contains("camera B: near-run-b.mp4, 1310 frames, fingerprint b3:0e8827c1d95b3f62."));
}

TEST_CASE("the sheet names the SHA-256 of a clip's whole file, where it is known") {
    report::RulingDocument document = test::pier_nine();
    document.clips[1].sha256 = std::string(64, 'e');
    const std::string text = test::read_markup(sheet(document)).text;
    CHECK_THAT(text, Contains("fingerprint b3:0e8827c1d95b3f62, SHA-256 of the whole file " +
                              std::string(64, 'e') + "."));
    const std::size_t first = text.find("SHA-256");
    REQUIRE(first != std::string::npos);
    CHECK(text.find("SHA-256", first + 1) == std::string::npos);
}

TEST_CASE("without any watched span the sheet says that nothing was vouched for") {
    report::RulingDocument document = test::pier_nine();
    document.evidence.spans.clear();
    CHECK_THAT(sheet(document), Contains("No stretch of the footage was vouched for"));
}

TEST_CASE("a still is the very picture as JPEG, its two frames side by side") {
    const report::RulingDocument document = test::pier_nine();
    const std::vector<report::Still> pictures = test::all_stills(document);
    const std::string html = report::ruling_sheet_html(document, pictures);
    const auto expected = media::encode_jpeg(pictures[0].picture, 85);
    REQUIRE(expected.ok());
    const std::string mark = "data:image/jpeg;base64,";
    const std::size_t from = html.find(mark) + mark.size();
    CHECK(test::bytes_of_base64(html.substr(from, html.find('"', from) - from)) == *expected);
    const std::size_t pair = html.find("<div class=\"pair\">");
    const std::string figure = html.substr(pair, html.find("</figure>", pair) - pair);
    CHECK_THAT(figure, Contains("<b>not yet</b> · f 1116 · 0:18.600") &&
                           Contains("<b>it is</b> · f 1119 · 0:18.650"));
}

TEST_CASE("surfaces, the plane with its far side, and the spot are drawn over the picture, in its pixels") {
    const std::string html = sheet(test::pier_nine());
    CHECK_THAT(html, Contains("viewBox=\"0 0 160 120\""));
    CHECK_THAT(html, Contains("<polygon points=\"20.0,70.0 140.0,70.0 150.0,110.0 10.0,110.0\""));
    CHECK_THAT(html, Contains("<polyline points=\"30.0,0.0 30.0,119.0\""));
    // The far side is at larger x, so every tick leads from the line to the right.
    CHECK(html.find("<polyline points=\"30.0,5.4 33.3,5.4\"") != std::string::npos);
    CHECK_THAT(html, Contains("<circle cx=\"80.0\" cy=\"74.0\"") && Contains("#0072B2"));
}

TEST_CASE("outlines that are no numbers, far away, or on a picture flat as a line do no harm") {
    const report::RulingDocument document = test::pier_nine();
    std::vector<report::Still> pictures = test::all_stills(document);
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (report::Still& still : pictures) {
        still.picture = test::plain_picture(320, 2);
        still.outlines[0].points = {{nan, 0}, {1e300, -1e300}, {std::numeric_limits<double>::infinity(), 3}};
        still.outlines[1].points = {{nan, nan}, {-1e300, 2}};
        still.outlines[1].towards = {nan, 1};
        still.spot = {nan, 2};
    }
    const std::string html = report::ruling_sheet_html(document, pictures);
    CHECK(test::read_markup(html).fault == "");
    CHECK(html.find("nan") == std::string::npos);
    CHECK(html.find("inf,") == std::string::npos);
    CHECK(html.find("polygon") == std::string::npos);
}

TEST_CASE("a still without a picture leaves its reason in its place") {
    const report::RulingDocument document = test::pier_nine();
    std::vector<report::Still> pictures = test::all_stills(document);
    pictures[0].picture = {};
    const std::string html = report::ruling_sheet_html(document, pictures);
    CHECK_THAT(html, Contains("No picture: "));
    CHECK(test::read_markup(html).fault == "");
}
