#include "report/internal/sheet_rungs.h"

#include <fmt/format.h>

#include <vector>

#include "base/text.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/words.h"
#include "report/ruling_text.h"

namespace plumbmark::report {
namespace {

/// When it was decided, how surely, and on what: one small line.
std::string facts_line(const RulingDocument& document, const ruling::StationRuling& station) {
    const std::string facts = facts_words(document, station);
    return facts.empty() ? facts : fmt::format("<p class=\"small\">{}</p>\n", html(facts));
}

std::string clauses(const ruling::StationRuling& station) {
    std::string out;
    for (const ruling::ClauseFinding& finding : station.clauses) {
        if (finding.state == ruling::ClauseState::broken)
            out += fmt::format("<p><b>Broken:</b> {}</p>\n", html(clause_sentence(finding)));
        else if (finding.state == ruling::ClauseState::not_shown)
            out += fmt::format("<p><b>Not shown:</b> {}</p>\n", html(clause_sentence(finding)));
    }
    if (const std::string kept = kept_words(station); !kept.empty())
        out += fmt::format("<p class=\"small\">{}</p>\n", html(kept));
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
                           html(base::sentence_case(plain(step.sentence.english()))), html(where));
    }
    return out + "</ul></div>\n";
}

std::string rung(const RulingDocument& document, const ruling::StationRuling& station) {
    std::string out = fmt::format(
        "<li{}>\n<div class=\"rung\">{}<h3>{} <bdi>{}</bdi></h3><b>{}</b></div>\n<div class=\"under\">\n",
        under_appeal(document, station.station) ? " class=\"asked\"" : "", verdict_shape(station.verdict),
        station.station.value + 1, html(station_words(document.book, station.station)),
        html(verdict_line(station)));
    if (!station.sentence.empty())
        out += fmt::format("<p>{}</p>\n",
                           html(full_stop(base::sentence_case(plain(station.sentence.english())))));
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
