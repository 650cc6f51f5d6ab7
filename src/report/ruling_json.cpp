#include "report/ruling_json.h"

#include "meet/competition_words.h"
#include "report/internal/json_parts.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

const char* format_key(course::Format format) {
    return format == course::Format::first_fail_ends ? "first_fail_ends" : "every_station_counts";
}

const char* when_not_shown_key(WhenNotShown rule) {
    switch (rule) {
        case WhenNotShown::call_stands:
            return "call_stands";
        case WhenNotShown::athletes_favour:
            return "athletes_favour";
        case WhenNotShown::run_again:
            break;
    }
    return "run_again";
}

Json json_duration(const std::optional<base::Duration>& duration) {
    return duration ? Json(duration->ns) : Json();
}

Json json_run(const RulingDocument& document) {
    return {{"label", document.run_label},
            {"athlete", {{"number", document.athlete_number}, {"name", document.athlete_name}}},
            {"question", document.question}};
}

Json json_course(const RulingDocument& document) {
    Json course{{"name", document.book.name},
                {"revision", document.book.revision},
                {"format", format_key(document.book.format)}};
    if (!document.division.empty()) course["division"] = document.division;
    if (!document.lane.empty()) course["lane"] = document.lane;
    return course;
}

Json json_clips(const RulingDocument& document) {
    Json out = Json::array();
    for (std::size_t i = 0; i < document.evidence.clips.size(); ++i) {
        const ruling::ClipFacts& facts = document.evidence.clips[i];
        const bool known = i < document.clips.size();
        out.push_back(
            {{"clip", i},
             {"name", known && !document.clips[i].name.empty() ? document.clips[i].name : facts.name},
             {"file", known ? document.clips[i].file : std::string()},
             {"fingerprint", known ? document.clips[i].fingerprint : std::string()},
             {"sha256", known && !document.clips[i].sha256.empty() ? Json(document.clips[i].sha256) : Json()},
             {"frames", facts.frame_times.size()},
             {"durations_known", facts.durations_known},
             {"capture", known ? document.clips[i].capture : std::string()},
             {"repeated", known ? document.clips[i].repeated : std::string()},
             {"row_delay_ns", facts.row_delay.ns}});
        if (known && document.clips[i].video_stream > 0)
            out.back()["video_stream"] = document.clips[i].video_stream;
    }
    return out;
}

Json json_result(const ruling::RunRuling& run) {
    Json results = Json::array();
    for (const ruling::RunResult& result : run.results)
        results.push_back(
            {{"cleared", result.cleared}, {"full_clear", result.full_clear}, {"points", result.points}});
    return results;
}

Json json_decision(const std::optional<meet::Decision>& decision) {
    if (!decision) return nullptr;
    Json signatures = Json::array();
    for (const meet::Signature& signature : decision->signatures)
        signatures.push_back({{"name", signature.name},
                              {"capacity", base::word_for(meet::kCapacityWords, signature.capacity)}});
    return {{"decision", decision->id.value},
            {"ruling", ruling::verdict_key(decision->ruling)},
            {"outcome", base::word_for(meet::kOutcomeWords, decision->outcome)},
            {"call", call_words(decision->call)},
            {"reason", decision->reason},
            {"decided_at_ms", decision->decided_at.ms},
            {"signatures", std::move(signatures)}};
}

Json json_appeals(const RulingDocument& document) {
    Json out = Json::array();
    for (const AppealEntry& entry : document.appeals) {
        const meet::Appeal& appeal = entry.appeal;
        out.push_back({{"appeal", appeal.id.value},
                       {"station", appeal.station},
                       {"point", appeal.point},
                       {"lodged_by", appeal.lodged_by},
                       {"capacity", base::word_for(meet::kCapacityWords, appeal.capacity)},
                       {"lodged_at_ms", appeal.lodged_at.ms},
                       {"status", base::word_for(meet::kAppealStatusWords, appeal.status)},
                       {"reason", appeal.reason},
                       {"decision", json_decision(entry.decision)}});
    }
    return out;
}

}  // namespace

std::string ruling_json(const RulingDocument& document) {
    Json stations = Json::array();
    for (const ruling::StationRuling& station : document.ruling.stations)
        stations.push_back(json_station(document, station));
    const Json whole = {
        {"form", "plumbmark ruling"},
        {"form_version", 1},
        {"program_version", document.program_version},
        {"meet", {{"name", document.meet_name}, {"venue", document.venue}, {"date", document.date}}},
        {"run", json_run(document)},
        {"course", json_course(document)},
        {"settings",
         {{"drift_parts_per_million", document.settings.drift_parts_per_million},
          {"budget_states", document.settings.budget_states},
          {"when_not_shown", when_not_shown_key(document.when_not_shown)}}},
        {"sentence", document.ruling.sentence},
        {"results", json_result(document.ruling)},
        {"split", json_shown(document, document.ruling.split)},
        {"split_low_ns", json_duration(document.ruling.split_low)},
        {"split_high_ns", json_duration(document.ruling.split_high)},
        {"stations", std::move(stations)},
        {"appeals", json_appeals(document)},
        {"clips", json_clips(document)},
        {"marks", json_marks(document)},
    };
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::report
