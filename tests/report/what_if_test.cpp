// What a comparison of rulings says, in words and as JSON.
#include <catch2/catch.hpp>

#include "documents.h"
#include "report/what_if_document.h"
#include "schema.h"

using namespace plumbmark;
using Catch::Contains;
using nlohmann::json;
using report::RunChange;
using report::StationChange;
using report::WhatIfDocument;

namespace {

json schema() {
    return test::schema_of_docs("what-if.schema.json");
}

report::RuledSide side(const std::string& revision) {
    const report::RulingDocument document = test::pier_nine();
    return {revision, document.book, document.ruling, std::nullopt};
}

report::RuledSide not_ruled(const std::string& sentence) {
    return {"4", test::pier_nine().book, std::nullopt,
            base::Error{base::Category::contradiction, sentence, ""}};
}

report::RunCompared run(const std::string& label, report::RuledSide before, report::RuledSide after) {
    return {label, std::move(before), std::move(after)};
}

/// The side with another verdict on its second station.
report::RuledSide failed(report::RuledSide side) {
    ruling::StationRuling& station = side.ruling->stations[1];
    station.verdict = ruling::Verdict::fail;
    station.sentence = "the left foot touched the floor";
    station.failing_clauses = {ruling::Clause::out_of_play};
    side.ruling->results = {{1, false, 0}};
    side.ruling->sentence = "one cleared";
    return side;
}

WhatIfDocument document(std::vector<report::RunCompared> runs) {
    return {"1.0", "Pier Nine Youth Open", "edited.course", "4", {"brush_counts = false"}, std::move(runs)};
}

/// A run of each kind.
WhatIfDocument all_kinds() {
    return document({run("run 1", side("3"), side("4")), run("run 2", side("3"), failed(side("4"))),
                     run("run 3", side("3"), not_ruled("marks 1 and 2 contradict each other")),
                     run("run 4", not_ruled("it was so before"), side("4")),
                     run("run 5", not_ruled("too tangled"), not_ruled("too tangled still"))});
}

}  // namespace

TEST_CASE("a run of each kind is told, and those that stay are counted") {
    const WhatIfDocument everything = all_kinds();
    std::vector<RunChange> changes;
    for (const report::RunCompared& one : everything.runs)
        changes.push_back(report::change_of(one));
    CHECK(changes == std::vector<RunChange>{RunChange::same, RunChange::changed, RunChange::no_longer_ruled,
                                            RunChange::now_ruled, RunChange::never_ruled});
    const std::string text = report::what_if_text(everything);
    CHECK_THAT(
        text, Contains("What would change in Pier Nine Youth Open with course book edited.course, revision 4 "
                       "and brush_counts = false:\n\n"));
    CHECK_THAT(text, Contains("   hawser swing: CLEAR, and FAIL after the change\n"
                              "      before: Right foot on the rung deck.\n"
                              "      after: The left foot touched the floor.\n"));
    CHECK_THAT(text, Contains("run 3: can no longer be ruled\n   marks 1 and 2 contradict each other\n"));
    CHECK_THAT(text, Contains("run 4: can be ruled after the change; before it could not\n"));
    CHECK_THAT(text, Contains("run 5: cannot be ruled, before or after\n   too tangled still\n"));
    CHECK_THAT(text, !Contains("run 1"));
    CHECK_THAT(text, Contains("\n1 of 5 runs does not change.\n"));
}

TEST_CASE(
    "a run is changed by a result, a split, a station, its points or what fails it, and by nothing else") {
    const auto changed = [](const std::function<void(report::RuledSide&)>& alter) {
        report::RuledSide after = failed(side("4"));
        alter(after);
        return report::change_of(run("run 1", failed(side("4")), std::move(after)));
    };
    using Side = report::RuledSide;
    CHECK(changed([](Side&) {}) == RunChange::same);
    CHECK(changed([](Side& s) { s.revision = "5"; }) == RunChange::same);
    CHECK(changed([](Side& s) { s.ruling->stations[1].sentence = "in other words"; }) == RunChange::same);
    CHECK(changed([](Side& s) { s.ruling->stations[0].failing_clauses = {ruling::Clause::cap}; }) ==
          RunChange::same);  // it is clear
    CHECK(changed([](Side& s) { s.ruling->sentence = "one cleared, split 3.100 s"; }) == RunChange::changed);
    CHECK(changed([](Side& s) { s.ruling->results[0].points = 4; }) == RunChange::changed);
    CHECK(changed([](Side& s) { s.ruling->stations[0].points = {2}; }) == RunChange::changed);
    CHECK(changed([](Side& s) { s.ruling->stations[0].if_reached = true; }) == RunChange::changed);
    CHECK(changed([](Side& s) { s.ruling->stations[1].failing_clauses = {ruling::Clause::part}; }) ==
          RunChange::changed);
}

TEST_CASE("stations are matched by key, and one that goes or comes is told") {
    report::RuledSide after = side("4");
    after.book->stations[1].key = "hawser_climb";
    after.book->stations[1].name = "hawser climb";
    const report::RunCompared one = run("run 1", side("3"), std::move(after));
    const auto stations = report::stations_compared(one);
    REQUIRE(stations.size() == one.before.book->stations.size() + 1);
    CHECK(stations[1].change == StationChange::gone);
    CHECK(stations[1].after == nullptr);
    CHECK(stations.back().change == StationChange::added);
    CHECK(stations.back().name == "hawser climb");
    CHECK(stations[0].change == StationChange::same);
    CHECK_THAT(report::what_if_text(document({one})),
               Contains("hawser swing: CLEAR, and no such station after the change\n") &&
                   Contains("hawser climb: no such station, and CLEAR after the change\n"));
}

TEST_CASE("a comparison as JSON fits the schema of the documentation, whatever is in it") {
    WhatIfDocument plain = all_kinds();
    plain.book_file.clear();
    plain.settings.clear();
    WhatIfDocument gone = all_kinds();
    gone.runs[0].after.book->stations[1].key = "hawser_climb";
    for (const WhatIfDocument& one : {all_kinds(), plain, gone, document({}), WhatIfDocument{}}) {
        const json written = json::parse(report::what_if_json(one));
        CHECK(test::misfits(schema(), written) == std::vector<std::string>{});
    }
    json spoilt = json::parse(report::what_if_json(all_kinds()));
    spoilt["runs"][1]["change"] = "otherwise";
    CHECK_FALSE(test::misfits(schema(), spoilt).empty());
    const json runs = json::parse(report::what_if_json(all_kinds()))["runs"];
    CHECK(runs[1]["stations"][1]["change"] == "verdict");
    CHECK(runs[1]["stations"][1]["after"]["failing_clauses"] == json::array({"out_of_play"}));
    CHECK(runs[2]["after"]["error"] == "marks 1 and 2 contradict each other");
    CHECK(runs[2]["stations"].empty());
}

TEST_CASE("nothing that changes is said in so many words") {
    CHECK_THAT(report::what_if_text(document({run("run 1", side("3"), side("4"))})),
               Contains("Nothing changes in 1 run.\n"));
    CHECK_THAT(report::what_if_text(document({})), Contains("There is no run to rule.\n"));
    CHECK_THAT(report::what_if_text(document({run("run 1", side("3"), failed(side("4")))})),
               Contains("No run stays as it is.\n"));
}
