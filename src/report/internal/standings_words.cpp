#include "report/internal/standings_words.h"

#include <fmt/format.h>

#include "base/catalogue.h"

namespace plumbmark::report {

using meet::LineStatus;

namespace {

const char* status_words(LineStatus status) {
    switch (status) {
        case LineStatus::placed:
            return "";
        case LineStatus::awaited:
            return base::to_translate("has not run yet");
        case LineStatus::not_started:
            return base::to_translate("did not start");
        case LineStatus::withdrawn:
            return base::to_translate("withdrawn");
        case LineStatus::disqualified:
            return base::to_translate("disqualified");
    }
    return "";
}

}  // namespace

bool counts_points(const StandingsDocument& document) {
    return document.rules.order == meet::Order::points_then_time;
}

std::string place_of(const meet::Line& line) {
    return line.status == LineStatus::placed ? std::to_string(line.placing.place) : std::string();
}

std::string time_of(const StandingsDocument& document, const meet::Line& line) {
    if (line.status != LineStatus::placed || !line.result.score.time) return {};
    return meet::range_text(*line.result.score.time, document.rules.times.unit);
}

std::string standings_remark(const StandingsLine& line) {
    if (line.line.status != LineStatus::placed) {
        const std::string words = base::spoken(status_words(line.line.status));
        return line.reason.empty() ? words : words + ": " + line.reason;
    }
    std::vector<std::string> remarks;
    const meet::RunResult& result = line.line.result;
    bool appealed = false, decided = false;
    for (const meet::StationResult& station : result.stations) {
        appealed |= station.under_appeal;
        decided |= station.decided;
    }
    if (appealed) remarks.emplace_back(base::spoken("under appeal"));
    if (decided) remarks.emplace_back(base::spoken("after an appeal"));
    if (!result.complete && !appealed) remarks.emplace_back(base::spoken("calls missing"));
    if (result.from_footage) remarks.emplace_back(base::spoken("time from footage"));
    if (line.line.placing.open) remarks.emplace_back(base::spoken("not separated by time"));
    std::string text;
    for (const std::string& one : remarks)
        text += (text.empty() ? "" : ", ") + one;
    return text;
}

std::string state_words(const StandingsTable& table) {
    if (table.published && table.official)
        return fmt::format("official, publication {}", table.published->value);
    if (table.published) return fmt::format("announced, publication {}", table.published->value);
    return table.final ? "not published yet" : "so far";
}

std::string standings_title(const StandingsTable& table) {
    const std::string division = table.division.empty() ? table.division_key : table.division;
    return table.round.empty() ? division : table.round + ", " + division;
}

const char* cleared_word(const StandingsDocument& document) {
    return counts_points(document) ? "points" : "cleared";
}

std::int32_t counted(const StandingsDocument& document, const meet::Line& line) {
    return counts_points(document) ? line.result.score.points : line.result.score.cleared;
}

}  // namespace plumbmark::report
