#include "report/what_if_document.h"

#include <algorithm>

#include "report/internal/json_parts.h"

namespace plumbmark::report {
namespace {

const ruling::StationRuling* station_of(const RuledSide& side, const std::string& key) {
    for (std::size_t i = 0; i < side.book->stations.size() && i < side.ruling->stations.size(); ++i) {
        if (side.book->stations[i].key == key) return &side.ruling->stations[i];
    }
    return nullptr;
}

StationChange compare(const ruling::StationRuling* before, const ruling::StationRuling* after) {
    if (!after) return StationChange::gone;
    if (!before) return StationChange::added;
    if (before->verdict != after->verdict || before->if_reached != after->if_reached)
        return StationChange::verdict;
    if (before->points != after->points) return StationChange::points;
    // What decides where it is not shown, or clear, is no reason that a judge would be asked for.
    const bool other_clauses =
        before->verdict == ruling::Verdict::fail && before->failing_clauses != after->failing_clauses;
    return other_clauses ? StationChange::reason : StationChange::same;
}

bool both_ruled(const RunCompared& run) {
    return run.before.ruling && run.after.ruling;
}

Json json_results(const ruling::RunRuling& ruling) {
    Json out = Json::array();
    for (const ruling::RunResult& result : ruling.results)
        out.push_back(
            {{"cleared", result.cleared}, {"full_clear", result.full_clear}, {"points", result.points}});
    return out;
}

Json json_side(const RuledSide& side) {
    const bool ruled = side.ruling.has_value();
    return {{"revision", side.revision},
            {"error", side.error ? Json(side.error->text()) : Json()},
            {"sentence", ruled ? Json(side.ruling->sentence) : Json()},
            {"results", ruled ? json_results(*side.ruling) : Json::array()}};
}

Json json_station_side(const ruling::StationRuling* station) {
    if (!station) return {};
    Json clauses = Json::array();
    for (const ruling::Clause clause : station->failing_clauses)
        clauses.push_back(ruling::clause_key(clause));
    return {{"verdict", ruling::verdict_key(station->verdict)},
            {"if_reached", station->if_reached},
            {"sentence", station->sentence},
            {"failing_clauses", std::move(clauses)},
            {"points", station->points}};
}

Json json_run(const RunCompared& run) {
    Json stations = Json::array();
    for (const StationCompared& station : stations_compared(run))
        stations.push_back({{"station", station.key},
                            {"name", station.name},
                            {"change", station_change_key(station.change)},
                            {"before", json_station_side(station.before)},
                            {"after", json_station_side(station.after)}});
    return {{"run", run.label},
            {"change", run_change_key(change_of(run))},
            {"before", json_side(run.before)},
            {"after", json_side(run.after)},
            {"stations", std::move(stations)}};
}

}  // namespace

const char* station_change_key(StationChange change) {
    switch (change) {
        case StationChange::same:
            return "same";
        case StationChange::reason:
            return "reason";
        case StationChange::points:
            return "points";
        case StationChange::verdict:
            return "verdict";
        case StationChange::gone:
            return "gone";
        case StationChange::added:
            break;
    }
    return "added";
}

const char* run_change_key(RunChange change) {
    switch (change) {
        case RunChange::same:
            return "same";
        case RunChange::changed:
            return "changed";
        case RunChange::no_longer_ruled:
            return "no_longer_ruled";
        case RunChange::now_ruled:
            return "now_ruled";
        case RunChange::never_ruled:
            break;
    }
    return "never_ruled";
}

std::vector<StationCompared> stations_compared(const RunCompared& run) {
    std::vector<StationCompared> all;
    if (!both_ruled(run)) return all;
    const auto add = [&](const course::Station& station) {
        const auto* before = station_of(run.before, station.key);
        const auto* after = station_of(run.after, station.key);
        all.push_back({station.key, station.name, before, after, compare(before, after)});
    };
    for (const course::Station& station : run.before.book->stations)
        add(station);
    for (const course::Station& station : run.after.book->stations) {
        if (!run.before.book->find_station(station.key).valid()) add(station);
    }
    return all;
}

RunChange change_of(const RunCompared& run) {
    if (!run.before.ruling) return run.after.ruling ? RunChange::now_ruled : RunChange::never_ruled;
    if (!run.after.ruling) return RunChange::no_longer_ruled;
    if (run.before.ruling->results != run.after.ruling->results ||
        run.before.ruling->sentence != run.after.ruling->sentence)
        return RunChange::changed;
    const std::vector<StationCompared> stations = stations_compared(run);
    const bool same = std::all_of(stations.begin(), stations.end(), [](const StationCompared& station) {
        return station.change == StationChange::same;
    });
    return same ? RunChange::same : RunChange::changed;
}

std::string what_if_json(const WhatIfDocument& document) {
    Json runs = Json::array();
    for (const RunCompared& run : document.runs)
        runs.push_back(json_run(run));
    const Json whole = {
        {"form", "plumbmark what-if"},
        {"form_version", 1},
        {"program_version", document.program_version},
        {"meet", document.meet_name},
        {"book", document.book_file.empty()
                     ? Json()
                     : Json{{"file", document.book_file}, {"revision", document.book_revision}}},
        {"settings", document.settings},
        {"runs", std::move(runs)},
    };
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::report
