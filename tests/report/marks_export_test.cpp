// Marks as CSV, JSON and WebVTT. References: RFC 4180; WebVTT (W3C Candidate Recommendation, 4 April 2019),
// read here by a small reader of its own and by the ffprobe program; JSON Schema of docs/.
#include "report/marks_export.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "schema.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
using nlohmann::json;

namespace {

report::ListedInstant at(std::int64_t frame) {
    const base::Time t = base::floor_to_time(frame * 1001, {1, 60000});
    return {frame, frame * 1001, t, t};
}

report::ListedMark event(std::int64_t id, meet::Event what, const std::string& words) {
    report::ListedMark mark;
    mark.id = {id};
    mark.alternatives = {std::move(what)};
    mark.words = {words};
    mark.sightings = {{0, at(210), at(212)}};
    return mark;
}

meet::Event touch(const std::string& surface) {
    meet::Event out;
    out.part = course::Part::left_foot;
    out.surface = surface;
    return out;
}

/// Every kind of mark, names that would break each of the formats, and brackets with open ends.
report::MarkList everything() {
    report::MarkList list;
    list.program_version = "0.1.0";
    list.meet_name = "Pier Nine Youth Open";
    list.run_label = "run 4 --> \"final\"";
    list.course_name = "quay, north";
    list.course_revision = "2";
    list.clips = {{"camera A",
                   "a.mp4",
                   "f1",
                   "",
                   300,
                   {1, 60000},
                   "",
                   report::RunClock{{-2'000'000'000}, {-1'950'000'000}}},
                  {"camera <B> & C", "b.mp4", "f2", std::string(64, 'e'), 300, {1, 60000}, "", std::nullopt}};
    list.marks.push_back(event(1, touch("deck"), "left foot touches quay deck"));
    list.marks.back().note = "=1+1, \"quoted\"\nand <i>a line</i> --> more";
    list.marks.back().spot = {{412.5, 300}};
    list.marks.back().sightings.push_back({1, at(99), std::nullopt});
    list.marks.back().pointed = {{0, at(211), {412.0625, 1.0 / 3}}, {1, at(98), {-3, 201}, 97}};
    list.marks.back().measured = {1, at(99), {9'500'000}, {1'013'250'001}};
    list.marks.push_back(event(2, touch(""), "left foot touches something undeclared"));
    list.marks.back().possible = true;
    list.marks.back().alternatives.push_back(touch("floor"));
    list.marks.back().words.emplace_back("left foot touches floor & <net>");
    meet::Event other = touch("rail");
    other.kind = meet::EventKind::release;
    list.marks.push_back(event(3, other, "left foot leaves rail"));
    other = {};
    other.kind = meet::EventKind::cross;
    other.plane = "front";
    list.marks.push_back(event(4, other, "whole athlete past front plane"));
    list.marks.back().sightings = {{0, std::nullopt, at(5)}};
    for (const auto kind : {meet::EventKind::signal, meet::EventKind::infraction, meet::EventKind::control}) {
        other = {};
        other.kind = kind;
        // ffmpeg takes cues of the same time and text for one.
        list.marks.push_back(
            event(5 + static_cast<int>(kind), other, "words " + std::to_string(list.marks.size())));
    }
    report::ListedMark contact;
    contact.id = {20};
    contact.kind = report::ListedKind::contact;
    contact.words = {"left foot on quay deck"};
    contact.sightings = {{0, at(0), at(0)}};
    contact.surface = "deck";
    list.marks.push_back(contact);
    report::ListedMark span;
    span.id = {21};
    span.kind = report::ListedKind::watched;
    span.words = {"watched: the whole athlete"};
    span.sightings = {{1, at(10), at(250)}};
    span.scope.surfaces = {"deck"};
    list.marks.push_back(span);
    return list;
}

struct Cue {
    std::string id;
    std::int64_t from_ms = 0, to_ms = 0;
    std::vector<std::string> lines;
};

std::int64_t ms_of(const std::string& stamp) {
    long long h = 0, m = 0, s = 0, ms = 0;
    REQUIRE(std::sscanf(stamp.c_str(), "%2lld:%2lld:%2lld.%3lld", &h, &m, &s, &ms) == 4);
    return ((h * 60 + m) * 60 + s) * 1000 + ms;
}

/// After 'WebVTT parser algorithm', as far as files without styles, regions and settings go.
std::vector<Cue> read_vtt(const std::string& text) {
    std::istringstream in(text);
    std::string line;
    REQUIRE(std::getline(in, line));
    REQUIRE(line == "WEBVTT");
    std::vector<Cue> cues;
    std::vector<std::string> block;
    const auto take = [&] {
        const bool note = !block.empty() && (block[0] == "NOTE" || block[0].starts_with("NOTE "));
        if (!block.empty() && !note) {
            Cue cue;
            std::size_t at = 0;
            if (block[0].find("-->") == std::string::npos) cue.id = block[at++];
            REQUIRE(at < block.size());
            const std::size_t arrow = block[at].find(" --> ");
            REQUIRE(arrow != std::string::npos);
            cue.from_ms = ms_of(block[at].substr(0, arrow));
            cue.to_ms = ms_of(block[at].substr(arrow + 5));
            cue.lines.assign(block.begin() + static_cast<std::ptrdiff_t>(at) + 1, block.end());
            cues.push_back(cue);
        }
        for (std::size_t i = 1; i < block.size() && note; ++i)
            CHECK(block[i].find("-->") == std::string::npos);
        block.clear();
    };
    while (std::getline(in, line))
        line.empty() ? take() : block.push_back(line);
    take();
    return cues;
}

std::string cell(const base::Table& table, std::size_t row, const std::string& column) {
    const auto found = std::find(table.header.begin(), table.header.end(), column);
    REQUIRE(found != table.header.end());
    REQUIRE(table.rows[row].fields.size() == table.header.size());
    return table.rows[row].fields[static_cast<std::size_t>(found - table.header.begin())];
}

}  // namespace

TEST_CASE("decimal seconds are exactly the nanoseconds with a sign before all of them") {
    CHECK(report::decimal_seconds(3'533'333'333) == "3.533333333");
    CHECK(report::decimal_seconds(0) == "0.000000000");
    CHECK(report::decimal_seconds(-1) == "-0.000000001");
    CHECK(report::decimal_seconds(-2'000'000'005) == "-2.000000005");
    CHECK(report::decimal_seconds(INT64_MIN) == "-9223372036.854775808");
}

TEST_CASE("the table of marks has a row for each sighting with exact times on the clip and on the run") {
    const base::Table table = report::marks_table(everything());
    REQUIRE(table.rows.size() == 10);
    CHECK(cell(table, 0, "kind") == "touch");
    CHECK(cell(table, 0, "early_frame") == "210");
    CHECK(cell(table, 0, "late_frame") == "212");
    // 212 * 1001 / 60000 = 3.536866... s.
    CHECK(cell(table, 0, "late_time") == "3.536866666");
    CHECK(cell(table, 0, "run_after") == "1.503500000");
    CHECK(cell(table, 0, "run_until") == "1.586866666");
    CHECK(cell(table, 0, "spot_x") == "412.5");
    CHECK(cell(table, 0, "pointed") ==
          "211 412.0625 0.3333333333333333 camera A | 98 -3 201 camera <B> & C, followed from 97");
    CHECK(cell(table, 0, "measured_frame").empty());
    CHECK(cell(table, 1, "clip") == "camera <B> & C");
    CHECK(cell(table, 1, "mark") == "1");
    CHECK(cell(table, 1, "late_frame").empty());
    CHECK(cell(table, 1, "run_until").empty());
    CHECK(cell(table, 1, "spot_x").empty());
    CHECK(cell(table, 1, "pointed").empty());
    CHECK(cell(table, 1, "measured_frame") == "99");
    CHECK(cell(table, 1, "measured_from") == "0.009500000");
    CHECK(cell(table, 1, "measured_to") == "1.013250001");
    CHECK(cell(table, 2, "measured_from").empty());
    CHECK(cell(table, 2, "possible") == "yes");
    CHECK(cell(table, 2, "or") == "left foot touches floor & <net>");
    CHECK(cell(table, 4, "part") == "whole");
    CHECK(cell(table, 4, "direction") == "forward");
    CHECK(cell(table, 4, "early_time").empty());
    CHECK(cell(table, 8, "state") == "on");
    CHECK(cell(table, 9, "scope") == "athlete surface:deck");
}

TEST_CASE("marks as JSON fit the schema of the documentation and say the exact ticks") {
    const json schema = test::schema_of_docs("mark-list.schema.json");
    const json list = json::parse(report::marks_json(everything()));
    CHECK(test::misfits(schema, list) == std::vector<std::string>{});
    CHECK(test::misfits(schema, json::parse(report::marks_json(report::MarkList{}))) ==
          std::vector<std::string>{});
    CHECK(list["marks"][0]["sightings"][0]["late"]["pts"] == 212 * 1001);
    CHECK(list["marks"][0]["sightings"][0]["late"]["seconds"] == "3.536866666");
    CHECK(list["marks"][0]["sightings"][1]["late"].is_null());
    CHECK(list["marks"][1]["alternatives"][0]["surface"].is_null());
    const json& pointed = list["marks"][0]["pointed"];
    REQUIRE(pointed.size() == 2);
    CHECK(pointed[0]["at"] == json{412.0625, 1.0 / 3});
    CHECK(pointed[0]["followed_from"].is_null());
    CHECK(pointed[1]["followed_from"] == 97);
    CHECK(pointed[1]["clip"] == 1);
    CHECK(pointed[1]["frame"]["pts"] == 98 * 1001);
    const json& measured = list["marks"][0]["measured"];
    CHECK(measured["frame"]["frame"] == 99);
    CHECK(measured["from"] == "0.009500000");
    CHECK(measured["to"] == "1.013250001");
    CHECK(list["marks"][1]["measured"].is_null());
    json bent = list;
    bent["marks"][0]["measured"].erase("to");
    CHECK_FALSE(test::misfits(schema, bent).empty());
    bent = list;
    bent["marks"][0]["kind"] = "contact";
    CHECK_FALSE(test::misfits(schema, bent).empty());
    bent = list;
    bent["marks"][0]["sightings"][0]["late"].erase("pts");
    CHECK_FALSE(test::misfits(schema, bent).empty());
}

TEST_CASE(
    "captions read back as one cue for each mark of the clip beginning while its frame is on the screen") {
    const report::MarkList list = everything();
    const std::vector<Cue> cues = read_vtt(report::marks_vtt(list, 0));
    REQUIRE(cues.size() == 8);
    CHECK(std::is_sorted(cues.begin(), cues.end(),
                         [](const Cue& a, const Cue& b) { return a.from_ms < b.from_ms; }));
    for (const Cue& cue : cues)
        CHECK(cue.to_ms > cue.from_ms);
    const auto first =
        std::find_if(cues.begin(), cues.end(), [](const Cue& cue) { return cue.id == "mark 1"; });
    REQUIRE(first != cues.end());
    // Within the frame: at or after its time, before the next one's.
    CHECK(first->from_ms * 1'000'000 >= at(212).shown.ns);
    CHECK(first->from_ms * 1'000'000 < at(213).shown.ns);
    REQUIRE(first->lines.size() == 3);
    CHECK(first->lines[0] == "left foot touches quay deck");
    CHECK(first->lines[1] == "f 210 to 212 (3.503500000 s to 3.536866666 s)");
    CHECK(first->lines[2] == "=1+1, \"quoted\" and &lt;i&gt;a line&lt;/i&gt; --&gt; more");
    const std::vector<Cue> other = read_vtt(report::marks_vtt(list, 1));
    REQUIRE(other.size() == 2);
    CHECK(other[0].id == "mark 21");
    CHECK(other[0].to_ms == 4171);  // 250 * 1001 / 60000 = 4.1708... s
    CHECK(other[1].lines[1] == "f 99 to after the clip (1.651650000 s to open)");
}

TEST_CASE("the ffprobe program reads the captions with the same times and text") {
    const test::TemporaryFolder folder;
    const std::string file = (folder / "marks.vtt").string();
    const std::string text = report::marks_vtt(everything(), 0);
    std::ofstream(file, std::ios::binary) << text;
    const auto answer =
        test::run_line("ffprobe -v error -show_entries packet=pts,duration -of csv=p=0 '" + file + "' 2>&1");
    REQUIRE(answer.code == 0);
    std::vector<std::string> wanted, found;
    for (const Cue& cue : read_vtt(text))
        wanted.push_back(std::to_string(cue.from_ms) + "," + std::to_string(cue.to_ms - cue.from_ms));
    // A packet's cue identifier comes as side data, with an empty line of its own.
    std::istringstream lines(answer.words);
    for (std::string line; std::getline(lines, line);)
        if (!line.empty()) found.push_back(line.substr(0, line.find(',', line.find(',') + 1)));
    CHECK(found == wanted);
    // As plain text the references are characters again.
    const auto words = test::run_line("ffmpeg -v error -i '" + file + "' -f srt - 2>&1");
    CHECK(words.code == 0);
    CHECK(words.words.find("left foot touches floor & <net>") != std::string::npos);
}
