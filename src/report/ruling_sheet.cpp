#include "report/ruling_sheet.h"

#include <fmt/format.h>

#include "base/text.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/sheet_rungs.h"
#include "report/internal/sheet_style.h"
#include "report/internal/still_svg.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

/// Not even a browser told otherwise may fetch or run anything from a sheet.
constexpr const char* kPolicy =
    R"(<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">)";

std::string names_line(const std::vector<std::string>& names) {
    std::string out;
    for (const std::string& name : names)
        if (!name.empty()) out += fmt::format("{}<bdi>{}</bdi>", out.empty() ? "" : " · ", html(name));
    return out;
}

std::string heading(const RulingDocument& document) {
    const std::string bib = document.athlete_number.empty() ? "" : "bib " + document.athlete_number;
    return fmt::format(
        "<header class=\"head\"><p><b><bdi>{}</bdi></b><br>{}</p><p><b>Ruling "
        "sheet</b><br>{}</p></header>\n<h1>{}</h1>\n",
        html(document.meet_name), names_line({document.venue, document.date}),
        names_line({document.run_label, bib, document.athlete_name}), html(sheet_title(document)));
}

/// The ruling in a sentence: each station under appeal with what becomes of its call, then the run, then what
/// people decided.
std::string answer(const RulingDocument& document) {
    std::string out = "<div class=\"answer\">\n";
    for (const Answer& one : answers(document))
        out += fmt::format("<p>{} <b>{}</b> {}</p>\n", verdict_shape(one.verdict), escaped(one.strong),
                           escaped(one.rest));
    out += fmt::format("<p><b>Run:</b> {}</p>\n", html(run_answer(document)));
    for (const AppealWords& appeal : appeal_words(document))
        out += fmt::format("<p><b>{}</b> {}</p>\n", escaped(appeal.strong), escaped(appeal.rest));
    return out + "</div>\n";
}

std::string one_still(const RulingDocument& document, const Still& still) {
    return fmt::format("<div>{}<p class=\"side\"><b>{}</b>{}</p></div>\n", still_svg(document, still),
                       side_words(still.side), html(still_when(document, still)));
}

std::string pairs(const RulingDocument& document, const std::vector<Still>& stills) {
    if (stills.empty()) return {};
    std::string figures;
    std::size_t count = 0;
    for (std::size_t i = 0; i < stills.size(); ++count) {
        const Still& first = stills[i];
        figures += fmt::format("<figure>\n<figcaption>{}</figcaption>\n<div class=\"pair\">\n",
                               escaped(still_heading(document, first)));
        figures += one_still(document, first);
        if (++i < stills.size() && belong_together(first, stills[i]))
            figures += one_still(document, stills[i++]);
        figures += "</div>\n</figure>\n";
    }
    const std::string faces =
        document.faces.empty() ? "" : fmt::format("<p class=\"small\">{}</p>\n", html(document.faces));
    return fmt::format(
        "<section>\n<h2>The deciding frames</h2>\n<div class=\"stills{}\">\n{}</div>\n{}</section>\n",
        count == 1 ? " single" : "", figures, faces);
}

std::string numbered_list(const char* title, const std::vector<Numbered>& entries) {
    std::string out = fmt::format("<section><h2>{}</h2>\n<ul>\n", title);
    for (const auto& [number, words] : entries)
        out += fmt::format("<li><i>{}</i>{}</li>\n", number, escaped(words));
    return out + "</ul></section>\n";
}

std::string watched(const RulingDocument& document) {
    const std::vector<Numbered> entries = watched_entries(document);
    if (!entries.empty()) return numbered_list("What was watched", entries);
    return fmt::format("<section><h2>What was watched</h2><p>{}</p></section>\n", kNothingWatched);
}

std::string relied_on(const RulingDocument& document) {
    const std::vector<Numbered> entries = relied_on_entries(document);
    return entries.empty() ? std::string() : numbered_list("The marks it turns on", entries);
}

std::string measured(const RulingDocument& document) {
    const std::vector<Numbered> entries = measured_entries(document);
    return entries.empty() ? std::string() : numbered_list("What was measured", entries);
}

std::string how_reached() {
    return fmt::format(
        "<section><h2>How it was reached</h2>\n<p>{}</p>\n<h2>How to verify it</h2>\n<p>{}</p></section>\n",
        kHowReached, html(kHowToVerify));
}

std::string who_decides(const RulingDocument& document) {
    std::string lines;
    for (const std::string& signer : signers(document))
        lines += fmt::format("<p>{}</p><p>Date and time</p>", escaped(signer));
    if (lines.empty()) lines = "<p>Head judge</p><p>Date and time</p><p>Second judge</p>";
    return fmt::format(
        "<section><h2>Who decides</h2>\n<p>{}</p>\n<div class=\"signatures\">{}<p>Coach, has seen "
        "it</p></div></section>\n",
        kWhoDecides, lines);
}

std::string foot(const RulingDocument& document) {
    return fmt::format("<footer class=\"foot\"><p>{}</p></footer>\n",
                       escaped(fmt::format("{}", fmt::join(foot_sentences(document), " "))));
}

}  // namespace

std::string ruling_sheet_html(const RulingDocument& document, const std::vector<Still>& stills) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{}\n"
        "<meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\">\n<title>{}</title>\n<style>{}</style>\n"
        "</head>\n<body>\n",
        kPolicy, html(sheet_title(document)), kSheetStyle);
    out += heading(document) + answer(document) + sheet_rungs(document) + pairs(document, stills);
    out += "<div class=\"columns marks\">\n" + relied_on(document) + watched(document) + "</div>\n";
    out += measured(document);
    out += "<div class=\"columns\">\n" + how_reached() + who_decides(document) + "</div>\n";
    return out + foot(document) + "</body>\n</html>\n";
}

}  // namespace plumbmark::report
