#include "report/ruling_json.h"

#include <catch2/catch.hpp>

#include "documents.h"
#include "schema.h"

using namespace plumbmark;
using nlohmann::json;
using test::misfits;

namespace {

json schema() {
    return test::schema_of_docs("ruling.schema.json");
}

/// Every kind of happening, an endless margin, open brackets and a surface that the book does not declare.
report::RulingDocument everything() {
    report::RulingDocument out = test::pier_nine();
    out.evidence.marks[0].alternatives = {
        ruling::Release{course::Part::left_hand, course::SurfaceId{2}},
        ruling::Cross{course::Part::other, course::PlaneId{0}, ruling::Direction::back},
        ruling::Signal{ruling::SignalKind::finish_registers},
        ruling::Signal{ruling::SignalKind::run_over},
        ruling::Infraction{ruling::InfractionKind::assistance},
        ruling::Infraction{ruling::InfractionKind::false_start},
        ruling::Infraction{ruling::InfractionKind::lack_of_control},
        ruling::Control{},
        ruling::SharedMoment{},
        ruling::Touch{course::Part::loose, course::SurfaceId{}, ruling::Grade::brush}};
    out.evidence.marks[0].sightings[0].after.reset();
    out.evidence.marks[1].sightings[0].until.reset();
    out.evidence.marks[2].possible = true;
    out.repeats[out.evidence.marks[2].id] = "f 12 of camera A shows f 10 again";
    out.clips[0].capture = "capture time: as given by the reviewer, unknown";
    out.clips[0].repeated = "1 repeated picture";
    out.ruling.stations[0].margin->unlimited = true;
    out.ruling.stations[3].if_reached = true;
    out.book.format = course::Format::every_station_counts;
    out.division = "Under 12";
    out.lane = "seaside lane";
    out.when_not_shown = report::WhenNotShown::run_again;
    return out;
}

}  // namespace

TEST_CASE("every document written by hand fits the schema of the documentation") {
    const json rules = schema();
    for (const auto& document :
         {test::pier_nine(), test::pier_nine_failed(), everything(), report::RulingDocument{}})
        CHECK(misfits(rules, json::parse(report::ruling_json(document))) == std::vector<std::string>{});
    report::RulingDocument read_whole = test::pier_nine();
    read_whole.clips[1].sha256 = std::string(64, 'e');
    const json clips = json::parse(report::ruling_json(read_whole))["clips"];
    CHECK(clips[0]["sha256"].is_null());
    CHECK(clips[1]["sha256"] == std::string(64, 'e'));
    CHECK(misfits(rules, json::parse(report::ruling_json(read_whole))) == std::vector<std::string>{});
}

TEST_CASE("the schema refuses a ruling with a member gone, one too many, or a word that is none of its own") {
    const json rules = schema();
    const json good = json::parse(report::ruling_json(test::pier_nine()));
    for (const char* member : {"form", "stations", "marks", "split"}) {
        json broken = good;
        broken.erase(member);
        CHECK(misfits(rules, broken).size() == 1);
    }
    json extra = good;
    extra["stations"][0]["colour"] = "green";
    CHECK(misfits(rules, extra) == std::vector<std::string>{"/stations/0: has an unknown member 'colour'"});
    json word = good;
    word["stations"][2]["verdict"] = "perhaps";
    CHECK(misfits(rules, word) ==
          std::vector<std::string>{"/stations/2/verdict: \"perhaps\" is not in the list"});
    json fraction = good;
    fraction["stations"][0]["decided_at"]["after"]["ns"] = 5.6;
    CHECK(misfits(rules, fraction).size() == 1);
    json mixed = good;
    mixed["marks"][1]["alternatives"][0]["plane"] = "front_plane";
    CHECK(misfits(rules, mixed).size() == 1);
}

TEST_CASE("the schema knows exactly the clauses and verdicts of the ruling") {
    const json defs = schema()["$defs"];
    json clauses = json::array();
    for (int i = 0; i <= static_cast<int>(ruling::Clause::run_ended); ++i)
        clauses.push_back(ruling::clause_key(static_cast<ruling::Clause>(i)));
    CHECK(defs["clause"]["enum"] == clauses);
    json verdicts = json::array();
    for (int i = 0; i <= static_cast<int>(ruling::Verdict::not_reached); ++i)
        verdicts.push_back(ruling::verdict_key(static_cast<ruling::Verdict>(i)));
    CHECK(defs["verdict"]["enum"] == verdicts);
}

TEST_CASE("times stand as nanoseconds and as the frame they belong to") {
    const json out = json::parse(report::ruling_json(test::pier_nine()));
    // 1116 and 1119 frames at 60 frames a second: floor(1116 / 60 s) and floor(1119 / 60 s) in nanoseconds.
    const json expected = {{"clip", 0},
                           {"after", {{"ns", 18'600'000'000}, {"frame", 1116}}},
                           {"until", {{"ns", 18'650'000'000}, {"frame", 1119}}}};
    CHECK(out["marks"][5]["sightings"][0] == expected);
    CHECK(out["stations"][0]["decided_at"]["after"]["ns"] == 5'616'666'666);
    CHECK(out["stations"][0]["decided_at"]["after"]["frame"] == 337);
    CHECK(out["stations"][3]["decided_at"].is_null());
}

TEST_CASE("a station says what decided it, what it rests on and how sure it is") {
    const json out = json::parse(report::ruling_json(test::pier_nine_failed()));
    const json& net = out["stations"][2];
    CHECK(net["station"] == "net_traverse");
    CHECK(net["verdict"] == "fail");
    CHECK(net["deciding_clause"] == "out_of_play");
    CHECK(net["failing_clauses"] == json::array({"out_of_play"}));
    CHECK(net["deciding_mark"] == 6);
    CHECK(net["rests_on"] == json::array({5, 6}));
    CHECK(net["margin"] == json({{"unlimited", false}, {"frames", 0}, {"ns", 11'000'000}}));
    CHECK(net["clauses"][2] ==
          json({{"clause", "out_of_play"}, {"state", "broken"}, {"sentence", "left foot on the floor"}}));
    CHECK(net["floor_calls"][0]["outcome"] == "upheld");
    CHECK(out["results"] == json::array({{{"cleared", 2}, {"full_clear", false}, {"points", 0}}}));
}

TEST_CASE("what is not shown carries its worlds and the steps that would settle it") {
    const json out = json::parse(report::ruling_json(test::pier_nine()));
    const json& net = out["stations"][2];
    REQUIRE(net["worlds"].size() == 2);
    CHECK(net["worlds"][1]["verdict"] == "fail");
    CHECK(net["worlds"][1]["events"][2]["unseen"] == true);
    CHECK(net["worlds"][1]["events"][2]["mark"].is_null());
    CHECK(net["worlds"][1]["events"][2]["what"]["surface"].is_null());
    CHECK(net["worlds"][0]["events"][1]["at"]["frame"] == 1118);
    CHECK(net["settle"][0]["kind"] == "resolve_possible");
    CHECK(net["settle"][0]["leads_to"] == json::array({"clear", "fail"}));
    CHECK(net["settle"][1]["where"]["clip"] == 1);
    CHECK(net["floor_calls"][0]["outcome"] == "stands");
}

TEST_CASE("marks keep their words, and those without any are worded from the course book") {
    const json out = json::parse(report::ruling_json(test::pier_nine()));
    CHECK(out["marks"][4]["words"] == "right foot touches quay deck");
    CHECK(out["marks"][5]["words"] == "left foot touches quay deck or left foot touches floor");
    CHECK(out["marks"][3]["words"] == "whole athlete past front plane");
    CHECK(out["marks"][6] == json({{"id", 7},
                                   {"kind", "contact"},
                                   {"words", "left foot is on quayside"},
                                   {"clip", 0},
                                   {"at", {{"ns", 833'333'333}, {"frame", 50}}},
                                   {"part", "left_foot"},
                                   {"surface", "quayside"},
                                   {"on", true}}));
    CHECK(out["marks"][8]["scope"]["surfaces"] == json::array({"floor", "net"}));
}

TEST_CASE("members come in the documented order, with two spaces of indentation, the same bytes each time") {
    const std::string text = report::ruling_json(test::pier_nine());
    CHECK(text == report::ruling_json(test::pier_nine()));
    CHECK(text.rfind("{\n  \"form\": \"plumbmark ruling\",\n  \"form_version\": 1,\n", 0) == 0);
    CHECK(text.substr(text.size() - 2) == "}\n");
    const auto ordered = nlohmann::ordered_json::parse(text);
    CHECK(ordered.dump(2) + "\n" == text);
    std::vector<std::string> members;
    for (const auto& [member, value] : ordered.items())
        members.push_back(member);
    const json required = schema()["required"];
    CHECK(json(members) == required);
    members.clear();
    for (const auto& [member, value] : ordered["stations"][0].items())
        members.push_back(member);
    CHECK(json(members) == schema()["$defs"]["station"]["required"]);
}

TEST_CASE(
    "names come back from JSON as they went in, and bytes that are no text become the replacement "
    "character") {
    report::RulingDocument document = test::pier_nine();
    document.athlete_name = "ليلى \"41\" 田中\n\x01";
    document.book.stations[0].name = test::kHostile;
    document.venue = "\xff hall";
    const json out = json::parse(report::ruling_json(document));
    CHECK(out["run"]["athlete"]["name"] == document.athlete_name);
    CHECK(out["stations"][0]["name"] == test::kHostile);
    CHECK(out["meet"]["venue"] == "\uFFFD hall");
}

TEST_CASE("a run's division and lane stand beside the book's revision, where it has them") {
    report::RulingDocument document = test::pier_nine();
    CHECK_FALSE(json::parse(report::ruling_json(document))["course"].contains("division"));
    CHECK_FALSE(json::parse(report::ruling_json(document))["course"].contains("lane"));
    document.division = "Under 12";
    document.lane = "seaside lane";
    const json course = json::parse(report::ruling_json(document))["course"];
    CHECK(course["division"] == "Under 12");
    CHECK(course["lane"] == "seaside lane");
}
