#include "report/standings_document.h"

#include <fmt/format.h>

#include "report/internal/json_parts.h"
#include "report/internal/plain.h"
#include "report/internal/sheet_style.h"
#include "report/internal/standings_words.h"

namespace plumbmark::report {
namespace {

using meet::LineStatus;

Json json_time(const std::optional<meet::TimeRange>& time) {
    return time ? Json{{"from_ns", time->from.ns}, {"to_ns", time->to.ns}} : Json();
}

Json json_line(const StandingsLine& line) {
    const meet::RunResult& result = line.line.result;
    const bool placed = line.line.status == LineStatus::placed;
    Json stations = Json::array();
    for (const meet::StationResult& station : result.stations) {
        stations.push_back(
            {{"station", station.station},
             {"call", station.call ? Json(*station.call == meet::Call::clear ? "clear" : "fail") : Json()},
             {"decided", station.decided},
             {"under_appeal", station.under_appeal}});
    }
    return {{"place", placed ? Json(line.line.placing.place) : Json()},
            {"shared", line.line.placing.shared},
            {"not_separated", line.line.placing.open},
            {"status", line_status_key(line.line.status)},
            {"reason", line.reason},
            {"number", line.number},
            {"name", line.name},
            {"club", line.club},
            {"heat", line.heat},
            {"cleared", result.score.cleared},
            {"points", result.score.points},
            {"time", json_time(result.score.time)},
            {"from_footage", result.from_footage},
            {"complete", result.complete},
            {"stations", std::move(stations)}};
}

Json json_table(const StandingsTable& table) {
    Json lines = Json::array();
    for (const StandingsLine& line : table.lines)
        lines.push_back(json_line(line));
    return {{"round", table.round},
            {"division", table.division_key},
            {"division_name", table.division},
            {"publication", table.published ? Json(table.published->value) : Json()},
            {"official", table.official},
            {"final", table.final},
            {"lines", std::move(lines)}};
}

std::string html_line(const StandingsDocument& document, const StandingsLine& line) {
    const bool placed = line.line.status == LineStatus::placed;
    const std::string count = placed ? std::to_string(counted(document, line.line)) : std::string();
    return fmt::format(
        "<tr><td class=\"n\">{}</td><td class=\"n\">{}</td><td><bdi>{}</bdi></td><td><bdi>{}</bdi></td>"
        "<td class=\"n\">{}</td><td class=\"n\">{}</td><td>{}</td></tr>\n",
        place_of(line.line), html(line.number), html(line.name), html(line.club), count,
        time_of(document, line.line), html(standings_remark(line)));
}

constexpr const char* kTableStyle = R"css(
table { width: 100%; border-collapse: collapse; margin: 1mm 0 4mm; }
th, td { text-align: left; padding: .7mm 1.6mm; border-bottom: .2mm solid #d8d4cb; vertical-align: top; }
th { font-size: 8pt; font-weight: 600; border-bottom: .3mm solid #1d1f21; }
.n { text-align: right; white-space: nowrap; }
tr { break-inside: avoid; }
)css";

}  // namespace

const char* line_status_key(LineStatus status) {
    switch (status) {
        case LineStatus::placed:
            return "placed";
        case LineStatus::awaited:
            return "awaited";
        case LineStatus::not_started:
            return "not_started";
        case LineStatus::withdrawn:
            return "withdrawn";
        case LineStatus::disqualified:
            return "disqualified";
    }
    return "";
}

std::string standings_text(const StandingsDocument& document) {
    std::string out = plain(document.meet_name) + "\n";
    if (document.tables.empty()) return out + "Nobody is entered yet; see plumbmark enter.\n";
    for (const StandingsTable& table : document.tables) {
        out += fmt::format("\n{} ({})\n", plain(standings_title(table)), state_words(table));
        for (const StandingsLine& line : table.lines) {
            const bool placed = line.line.status == LineStatus::placed;
            const std::string place = placed ? place_of(line.line) + "." : "-";
            out += fmt::format("{:>4} {:>5}  {}", place, plain(line.number), plain(line.name));
            if (!line.club.empty()) out += fmt::format(" ({})", plain(line.club));
            if (placed) {
                out += fmt::format(", {} {}", counted(document, line.line), cleared_word(document));
                const std::string time = time_of(document, line.line);
                if (!time.empty()) out += ", " + time;
            }
            const std::string behind = plain(standings_remark(line));
            out += (behind.empty() ? "" : "  [" + behind + "]") + "\n";
        }
    }
    return out;
}

std::string standings_json(const StandingsDocument& document) {
    Json tables = Json::array();
    for (const StandingsTable& table : document.tables)
        tables.push_back(json_table(table));
    const Json whole = {{"form", "plumbmark standings"},
                        {"form_version", 1},
                        {"program_version", document.program_version},
                        {"meet", document.meet_name},
                        {"order", counts_points(document) ? "points_then_time" : "cleared_then_time"},
                        {"time_unit_ns", document.rules.times.unit.ns},
                        {"tables", std::move(tables)}};
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

base::Table standings_table(const StandingsDocument& document) {
    base::Table table;
    table.header = {"round",   "division", "place", "number", "name",  "club",
                    "cleared", "points",   "time",  "status", "reason"};
    for (const StandingsTable& part : document.tables) {
        for (const StandingsLine& line : part.lines) {
            const bool placed = line.line.status == LineStatus::placed;
            const meet::Score& score = line.line.result.score;
            table.rows.push_back(
                {0,
                 {part.round, part.division_key, place_of(line.line), line.number, line.name, line.club,
                  placed ? std::to_string(score.cleared) : "", placed ? std::to_string(score.points) : "",
                  time_of(document, line.line), line_status_key(line.line.status), line.reason}});
        }
    }
    return table;
}

std::string standings_html(const StandingsDocument& document) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'\">\n"
        "<title>{}: results</title>\n<style>{}{}</style>\n</head>\n<body>\n",
        html(document.meet_name), kSheetStyle, kTableStyle);
    out += fmt::format(
        "<header class=\"head\"><p><b><bdi>{}</bdi></b><br>{} {}</p><p><b>Results</b></p></header>\n",
        html(document.meet_name), html(document.venue), html(document.date));
    for (const StandingsTable& table : document.tables) {
        out += fmt::format(
            "<h1>{}</h1>\n<p class=\"small\">{}</p>\n<table>\n<thead><tr><th class=\"n\">place</th>"
            "<th class=\"n\">number</th><th>name</th><th>club</th><th class=\"n\">{}</th>"
            "<th class=\"n\">time</th><th></th></tr></thead>\n<tbody>\n",
            html(standings_title(table)), html(state_words(table)), cleared_word(document));
        for (const StandingsLine& line : table.lines)
            out += html_line(document, line);
        out += "</tbody>\n</table>\n";
    }
    return out + "</body>\n</html>\n";
}

}  // namespace plumbmark::report
