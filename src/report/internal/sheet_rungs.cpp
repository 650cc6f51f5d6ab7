#include "report/internal/sheet_rungs.h"

#include <fmt/format.h>

#include <vector>

#include "base/text.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
#include "report/internal/words.h"
#include "report/ruling_text.h"

namespace plumbmark::report {
namespace {

std::string short_margin(const ruling::Margin& margin) {
    if (margin.unlimited) return "margin: no widening of the marks changes it";
    if (margin.frames == 0) return "margin 0 frames: it hangs on single frames";
    return fmt::format("margin {} ({})", base::counted(margin.frames, "frame"),
                       base::duration_text(margin.time));
}

std::string mark_numbers(const std::vector<ruling::MarkId>& ids) {
    std::vector<std::string> numbers;
    for (const ruling::MarkId id : ids)
        numbers.push_back(std::to_string(id.value));
    return fmt::format("rests on {} {}", ids.size() == 1 ? "mark" : "marks", base::listed(numbers));
}

/// When it was decided, how surely, and on what: one small line.
std::string facts_line(const RulingDocument& document, const ruling::StationRuling& station) {
    std::vector<std::string> facts;
    if (station.decided_at) facts.push_back("decided on " + shown_words(document, *station.decided_at));
    if (station.margin) facts.push_back(short_margin(*station.margin));
    if (!station.rests_on.empty()) facts.push_back(mark_numbers(station.rests_on));
    if (facts.empty()) return {};
    return fmt::format("<p class=\"small\">{}.</p>\n",
                       html(base::sentence_case(fmt::format("{}", fmt::join(facts, "; ")))));
}

std::string clauses(const ruling::StationRuling& station) {
    std::string out;
    std::vector<std::string> kept;
    for (const ruling::ClauseFinding& finding : station.clauses) {
        const std::string words =
            finding.sentence.empty() ? ruling::clause_words(finding.clause) : finding.sentence;
        if (finding.state == ruling::ClauseState::broken)
            out += fmt::format("<p><b>Broken:</b> {}</p>\n", html(full_stop(words)));
        else if (finding.state == ruling::ClauseState::not_shown)
            out += fmt::format("<p><b>Not shown:</b> {}</p>\n", html(full_stop(words)));
        else if (finding.state == ruling::ClauseState::kept)
            kept.emplace_back(ruling::clause_words(finding.clause));
    }
    if (!kept.empty())
        out +=
            fmt::format("<p class=\"small\">Kept: {}.</p>\n", html(fmt::format("{}", fmt::join(kept, "; "))));
    return out;
}

std::string worlds(const RulingDocument& document, const ruling::StationRuling& station) {
    if (station.worlds.empty()) return {};
    std::string out = "<ul class=\"worlds\">\n";
    for (const ruling::World& world : station.worlds) {
        const std::string order =
            full_stop(base::sentence_case(differing_events(document, station.worlds, world)));
        out += fmt::format("<li>{} {}{}</li>\n", verdict_shape(world.verdict),
                           html(full_stop(base::sentence_case(world_sentence(world)))),
                           order.empty() ? "" : "<p class=\"small\">" + html(order) + "</p>");
    }
    return out + "</ul>\n";
}

std::string settle(const RulingDocument& document, const ruling::StationRuling& station) {
    if (station.verdict != ruling::Verdict::not_shown) return {};
    if (station.settle.empty()) return "<p>No single change to the marks would settle it.</p>\n";
    std::string out = "<div class=\"settle\"><b>Any one of these would settle it</b>\n<ul>\n";
    for (const ruling::SettleStep& step : station.settle) {
        const std::string where = step.where ? " · " + shown_words(document, *step.where) : "";
        out += fmt::format("<li>{}<span class=\"small\">{}</span></li>\n",
                           html(base::sentence_case(plain(step.sentence))), html(where));
    }
    return out + "</ul></div>\n";
}

bool contested(const RulingDocument& document, const ruling::StationRuling& station) {
    return station.verdict == ruling::Verdict::fail || station.verdict == ruling::Verdict::not_shown ||
           under_appeal(document, station.station);
}

std::string rung(const RulingDocument& document, const ruling::StationRuling& station) {
    std::string out = fmt::format(
        "<li{}>\n<div class=\"rung\">{}<h3>{} <bdi>{}</bdi></h3><b>{}</b></div>\n<div class=\"under\">\n",
        under_appeal(document, station.station) ? " class=\"asked\"" : "", verdict_shape(station.verdict),
        station.station.value + 1, html(station_words(document.book, station.station)),
        html(verdict_line(station)));
    if (!station.sentence.empty())
        out += fmt::format("<p>{}</p>\n", html(full_stop(base::sentence_case(plain(station.sentence)))));
    if (contested(document, station)) out += clauses(station);
    out += worlds(document, station) + settle(document, station) + facts_line(document, station);
    if (const std::string call = floor_call_sentence(document, station.station); !call.empty())
        out += fmt::format("<p class=\"call\">{}</p>\n", html(call));
    return out + "</div>\n</li>\n";
}

}  // namespace

std::string sheet_rungs(const RulingDocument& document) {
    std::string out = "<ol class=\"rungs\">\n";
    for (const ruling::StationRuling& station : document.ruling.stations)
        out += rung(document, station);
    return out + "</ol>\n";
}

}  // namespace plumbmark::report
