// A season, and two reviewers' marks, as JSON.
#include <utility>

#include "report/internal/json_study.h"
#include "report/season_document.h"

namespace plumbmark::report {
namespace {

using Json = nlohmann::ordered_json;

template <class T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json();
}

Json json_interval(const study::Interval& interval) {
    return {{"low", interval.low}, {"high", interval.high}};
}

Json json_count(const study::Count& count) {
    return {{"cleared", count.happened}, {"shown", count.trials}};
}

Json json_times(const BestAndMedian& times) {
    return {{"times", times.times}, {"best", json_length(times.best)}, {"median", json_length(times.median)}};
}

Json json_file(const SeasonFile& file) {
    const bool found = !file.matched.empty();
    return {{"file", file.file},
            {"meet", file.meet},
            {"date", file.date},
            {"error", file.error ? Json(file.error->text()) : Json()},
            {"matched", found ? Json(file.matched.english()) : Json()},
            {"number", found ? Json(file.number) : Json()},
            {"athlete", found ? Json(file.athlete) : Json()},
            {"runs", file.runs}};
}

Json json_run(const SeasonRun& run) {
    Json one = json_name(run.name);
    one["place"] = run.file;
    one["cleared"] = run.cleared;
    one["stations"] = run.stations;
    one["ended"] = ended_key(run.ended);
    one["ended_at"] = run.station.empty() ? Json() : Json(run.station);
    one["last_cleared_at"] = json_length(run.time);
    return one;
}

Json json_not_opened(const NotLaidOpen& not_opened) {
    Json one = json_name(not_opened.name);
    one["place"] = not_opened.file;
    one["unmarked"] = not_opened.unmarked;
    one["error"] = not_opened.why.text();
    return one;
}

Json json_station(const SeasonStation& station) {
    Json by_file = Json::array();
    for (const SeasonStationAt& at : station.by_file)
        by_file.push_back(
            {{"place", at.file}, {"cleared", json_count(at.cleared)}, {"times", json_times(at.times)}});
    return {{"station", station.key},
            {"name", station.name},
            {"clear", station.clear},
            {"fail", station.fail},
            {"not_shown", station.not_shown},
            {"rate",
             {{"cleared", station.cleared.count.happened},
              {"shown", station.cleared.count.trials},
              {"share", or_null(station.cleared.share)},
              {"wilson", json_interval(station.cleared.wilson)},
              {"clopper_pearson", json_interval(station.cleared.clopper_pearson)}}},
            {"times", json_times(station.times)},
            {"by_file", std::move(by_file)},
            {"earlier", json_times(station.earlier)},
            {"later", json_times(station.later)},
            {"trend", json_difference(station.trend)},
            {"cleared_earlier", json_count(station.cleared_earlier)},
            {"cleared_later", json_count(station.cleared_later)}};
}

Json json_kappa(const std::optional<study::Kappa>& kappa, const std::vector<std::string>& keys,
                const study::RatingTable& table) {
    if (!kappa) return {};
    return {{"rated", kappa->rated},
            {"categories", keys},
            {"table", table},
            {"confidence", kappa->confidence},
            {"agreement", or_null(kappa->agreement)},
            {"by_chance", or_null(kappa->by_chance)},
            {"kappa", or_null(kappa->kappa)},
            {"error", or_null(kappa->error)},
            {"interval", kappa->interval ? json_interval(*kappa->interval) : Json()}};
}

Json json_moments(const RatersDocument& document) {
    const study::MomentAgreement& moments = document.moments;
    return {{"frames_apart", document.frames_apart},
            {"paired", moments.paired},
            {"only_a", moments.only_first},
            {"only_b", moments.only_second},
            {"left_out", document.left_out},
            {"tolerance", document.tolerance},
            {"within", moments.within},
            {"share_within", or_null(moments.share_within)},
            {"median", or_null(moments.median)},
            {"mean", or_null(moments.mean)},
            {"standard", or_null(moments.standard)},
            {"limits", moments.limits ? json_interval(*moments.limits) : Json()},
            {"limit_error", or_null(moments.limit_error)}};
}

Json json_notes(const std::vector<base::Sentence>& notes) {
    Json all = Json::array();
    for (const base::Sentence& note : notes)
        all.push_back(note.english());
    return all;
}

}  // namespace

std::string season_json(const SeasonDocument& document) {
    Json files = Json::array(), runs = Json::array(), not_opened = Json::array(), stations = Json::array(),
         ends = Json::array();
    for (const SeasonFile& file : document.files)
        files.push_back(json_file(file));
    for (const SeasonRun& run : document.runs)
        runs.push_back(json_run(run));
    for (const NotLaidOpen& one : document.not_opened)
        not_opened.push_back(json_not_opened(one));
    for (const SeasonStation& station : document.stations)
        stations.push_back(json_station(station));
    for (const SeasonEnd& end : document.ends)
        ends.push_back({{"station", end.key.empty() ? Json() : Json(end.key)},
                        {"ended", ended_key(end.ended)},
                        {"runs", end.runs}});
    return json_text({{"form", "plumbmark season"},
                      {"form_version", 1},
                      {"program_version", document.program_version},
                      {"athlete", document.athlete.empty() ? Json() : Json(document.athlete)},
                      {"confidence", document.confidence},
                      {"files", std::move(files)},
                      {"runs", std::move(runs)},
                      {"not_looked_at", std::move(not_opened)},
                      {"stations", std::move(stations)},
                      {"ends", std::move(ends)},
                      {"notes", json_notes(document.notes)}});
}

std::string raters_json(const RatersDocument& document) {
    Json stations = Json::array();
    for (const RatedStation& station : document.stations)
        stations.push_back({{"station", station.key},
                            {"name", station.name},
                            {"a", ruling::verdict_key(station.a)},
                            {"b", ruling::verdict_key(station.b)}});
    return json_text(
        {{"form", "plumbmark raters"},
         {"form_version", 1},
         {"program_version", document.program_version},
         {"a", json_name(document.a)},
         {"b", json_name(document.b)},
         {"clips", document.clips},
         {"stations", std::move(stations)},
         {"verdicts", json_kappa(document.verdicts, document.verdict_keys, document.verdict_table)},
         {"surfaces", json_kappa(document.surfaces, document.surface_keys, document.surface_table)},
         {"marks", json_moments(document)},
         {"notes", json_notes(document.notes)}});
}

}  // namespace plumbmark::report
