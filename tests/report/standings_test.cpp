// Standings on paper: every form says the same, fits its schema, and lets nothing of a name through.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "printed.h"
#include "report/standings_document.h"
#include "schema.h"

using namespace plumbmark;
using namespace plumbmark::report;
using nlohmann::json;

namespace {

meet::Line placed(std::size_t place, std::int32_t cleared, std::optional<meet::TimeRange> time) {
    meet::Line line;
    line.status = meet::LineStatus::placed;
    line.placing.place = place;
    line.result.score.cleared = cleared;
    line.result.score.time = time;
    line.result.complete = true;
    line.result.stations = {{"hop", meet::Call::clear, false, false},
                            {"swing", meet::Call::fail, true, false}};
    return line;
}

StandingsDocument document() {
    StandingsDocument made;
    made.program_version = "0";
    made.meet_name = "Pier Nine Youth Open";
    StandingsTable table;
    table.round = "Final";
    table.division_key = "u14g";
    table.division = "Girls under 14";
    table.published = meet::PublicationId{3};
    table.lines.push_back({"17", "Łucja Ż.", "Pier club", 1, "",
                           placed(1, 2, meet::TimeRange{{61'200'000'000}, {61'200'000'000}})});
    table.lines.push_back(
        {"4", "さくら", "", 1, "", placed(1, 2, meet::TimeRange{{61'180'000'000}, {61'300'000'000}})});
    table.lines.back().line.placing.open = true;
    table.lines.back().line.result.from_footage = true;
    meet::Line gone;
    gone.status = meet::LineStatus::withdrawn;
    table.lines.push_back(
        {"9", "<script>alert(1)</script>", "=cmd\"&\x1b[2J", 1, "sprained <b>ankle</b>", gone});
    made.tables.push_back(table);
    return made;
}

}  // namespace

TEST_CASE("standings in text say place, result, and what a place still hangs on") {
    const std::string text = standings_text(document());
    CHECK(text.find("Final, Girls under 14 (announced, publication 3)\n") != std::string::npos);
    CHECK(text.find("  1.    17  Łucja Ż. (Pier club), 2 cleared, 1:01.20  [after an appeal]\n") !=
          std::string::npos);
    CHECK(text.find(
              "  1.     4  さくら, 2 cleared, 1:01.18 to 1:01.30  [after an appeal, time from footage, not "
              "separated by time]\n") != std::string::npos);
    CHECK(text.find("   -     9  <script>alert(1)</script>") != std::string::npos);
    CHECK(text.find("withdrawn: sprained <b>ankle</b>") != std::string::npos);
    CHECK(text.find('\x1b') == std::string::npos);  // nothing steers the terminal
    StandingsDocument points = document();
    points.rules.order = meet::Order::points_then_time;
    points.tables[0].lines[0].line.result.score.points = 7;
    CHECK(standings_text(points).find("Łucja Ż. (Pier club), 7 points, 1:01.20") != std::string::npos);
}

TEST_CASE("standings as JSON fit their schema, and the schema refuses another form") {
    const json rules = test::schema_of_docs("standings.schema.json");
    json whole = json::parse(standings_json(document()));
    CHECK(test::misfits(rules, whole).empty());
    CHECK(whole["tables"][0]["lines"][1]["time"] ==
          json{{"from_ns", 61'180'000'000}, {"to_ns", 61'300'000'000}});
    CHECK(whole["tables"][0]["lines"][2]["place"].is_null());
    CHECK(whole["tables"][0]["lines"][0]["stations"][1] ==
          json{{"station", "swing"}, {"call", "fail"}, {"decided", true}, {"under_appeal", false}});
    whole["tables"][0]["lines"][0]["status"] = "lost";
    CHECK_FALSE(test::misfits(rules, whole).empty());
    whole = json::parse(standings_json(document()));
    whole["tables"][0].erase("final");
    CHECK_FALSE(test::misfits(rules, whole).empty());
}

TEST_CASE("standings as a table have a row for each line") {
    const base::Table table = standings_table(document());
    REQUIRE(table.rows.size() == 3);
    CHECK(table.rows[0].fields == std::vector<std::string>{"Final", "u14g", "1", "17", "Łucja Ż.",
                                                           "Pier club", "2", "0", "1:01.20", "placed", ""});
    CHECK(table.rows[2].fields[2].empty());
    CHECK(table.rows[2].fields[9] == "withdrawn");
}

TEST_CASE("standings as a page escape all that comes from the meet") {
    const std::string page = standings_html(document());
    CHECK(page.find("<script") == std::string::npos);
    CHECK(page.find("&lt;script&gt;alert(1)&lt;/script&gt;") != std::string::npos);
    CHECK(page.find("<b>ankle") == std::string::npos);
    CHECK(page.find('\x1b') == std::string::npos);
    CHECK(page.find("default-src 'none'") != std::string::npos);
    CHECK(page.find("さくら") != std::string::npos);
    CHECK(page.find("1:01.18 to 1:01.30") != std::string::npos);
}

TEST_CASE("standings on paper repeat a table's head on each page and keep every line") {
    if (!test::poppler_is_here()) return;
    StandingsDocument long_one = document();
    for (int i = 0; i < 150; ++i) {
        StandingsLine line = long_one.tables[0].lines[0];
        line.number = std::to_string(1000 + i);
        line.name = "athlete " + line.number;
        long_one.tables[0].lines.push_back(line);
    }
    const auto pdf = standings_pdf(long_one);
    REQUIRE(pdf);
    CHECK(*pdf == *standings_pdf(long_one));
    const std::vector<std::string> pages = test::pages_as_text(*pdf);
    REQUIRE(pages.size() > 1);
    for (const std::string& page : pages)
        for (const char* title : {"place", "number", "name", "club", "cleared", "time"})
            CHECK(page.find(title) != std::string::npos);
    const std::string text = test::squeezed(test::poppler("pdftotext", "-raw", *pdf));
    for (int i = 0; i < 150; ++i)
        CHECK(text.find("athlete" + std::to_string(1000 + i)) != std::string::npos);
    CHECK(text.find("1:01.18to1:01.30") != std::string::npos);
    CHECK(text.find("withdrawn:sprained") != std::string::npos);
    CHECK(test::misplaced(test::placed_words(*pdf)) == std::vector<std::string>{});
}
