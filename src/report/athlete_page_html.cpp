// The athlete's page as HTML.
#include <fmt/format.h>

#include <algorithm>

#include "media/still.h"
#include "report/internal/athlete_parts.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/sheet_style.h"
#include "report/internal/still_overlay.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

constexpr const char* kPageStyle = R"css(
.answer h2 { border: 0; margin: 1.6mm 0 .4mm; font-size: 9pt; }
.answer li { font-size: 9pt; line-height: 1.34; padding-left: 4mm; text-indent: -4mm; }
section h2 { font-size: 11pt; border: 0; margin: 4mm 0 1mm; break-after: avoid; }
dl { display: grid; grid-template-columns: 34mm 1fr; gap: .5mm 3mm; margin-top: .6mm; }
dt { font-size: 8.2pt; color: #45484b; }
dd { overflow-wrap: anywhere; }
.rungs > li { padding-bottom: 1.8mm; }
figure.drawn { margin: 1.5mm 0; break-inside: avoid; }
.plot { display: block; width: 100%; }
.events { columns: 2; column-gap: 6mm; list-style: decimal; padding-left: 6mm; font-size: 7.8pt; line-height: 1.3; }
.events li { break-inside: avoid; padding-left: 1mm; }
.notes { display: grid; grid-template-columns: 1fr 1fr; gap: 4mm 5mm; align-items: start; }
.notes > li { break-inside: avoid; }
.notes > li.wordy { grid-column: 1 / -1; }
.notes img { display: block; width: auto; max-width: 100%; height: auto; max-height: 76mm; margin: .8mm 0; }
.notes .said { white-space: pre-line; overflow-wrap: anywhere; }
.where { font-size: 8pt; color: #45484b; }
.where b { color: #1d1f21; }
.wide p { font-size: 7.7pt; line-height: 1.3; color: #45484b; }
.wide p + p { margin-top: .6mm; }
@media (max-width: 640px) { dl, .notes { grid-template-columns: 1fr; } .events { columns: 1; } }
)css";

std::string said(const base::Sentence& sentence) {
    return html(sentence.english());
}

std::string joined_names(const std::vector<std::string>& names) {
    std::string out;
    for (const std::string& name : names)
        if (!name.empty()) out += fmt::format("{}<bdi>{}</bdi>", out.empty() ? "" : " · ", html(name));
    return out;
}

std::string heading(const AthletePage& page) {
    const RulingDocument& ruling = page.ruling;
    const std::string bib = ruling.athlete_number.empty() ? "" : "bib " + ruling.athlete_number;
    return fmt::format(
        "<header class=\"head\"><p><b><bdi>{}</bdi></b><br>{}</p><p><b>Athlete's "
        "page</b><br>{}</p></header>\n"
        "<h1>{}</h1>\n",
        html(ruling.meet_name), joined_names({ruling.venue, ruling.date}),
        joined_names({ruling.run_label, bib, ruling.athlete_name}), said(page_title(page)));
}

std::string facts_html(const std::vector<PageFact>& facts) {
    if (facts.empty()) return {};
    std::string out = "<dl>\n";
    for (const PageFact& fact : facts) {
        out += fmt::format("<dt>{}</dt><dd>", said(fact.title));
        for (const base::Sentence& one : fact.says)
            out += fmt::format("<p>{}</p>", said(one));
        out += "</dd>\n";
    }
    return out + "</dl>\n";
}

std::string answer(const AthletePage& page) {
    std::string out =
        fmt::format("<div class=\"answer\">\n<p><b>Run:</b> {}</p>\n", html(run_answer(page.ruling)));
    for (const PageFact& fact : page_losses(page)) {
        out += fmt::format("<h2>{}</h2>\n<ul>\n", said(fact.title));
        for (const base::Sentence& one : fact.says)
            out += fmt::format("<li>{}</li>\n", said(one));
        out += "</ul>\n";
    }
    return out + "</div>\n";
}

std::string stations(const AthletePage& page) {
    std::string out = "<section>\n<h2>Station by station</h2>\n<ol class=\"rungs\">\n";
    for (const PageStation& station : page_stations(page)) {
        out += fmt::format(
            "<li><div class=\"rung\">{}<h3>{} <bdi>{}</bdi></h3><b>{}</b></div><div class=\"under\">",
            verdict_shape(station.verdict), station.number, html(station.name), said(station.verdict_words));
        if (!station.because.empty()) out += fmt::format("<p>{}</p>", said(station.because));
        out += facts_html(station.facts) + "</div></li>\n";
    }
    out += "</ol>\n</section>\n";
    if (const auto between = page_between(page); !between.empty())
        out += "<section>\n<h2>Between the stations and after the last</h2>\n" + facts_html(between) +
               "</section>\n";
    return out;
}

std::string drawn(const Plot& plot) {
    return "<figure class=\"drawn\">" + plot_svg(plot) + "</figure>\n";
}

std::string plots(const AthletePage& page) {
    std::string out =
        "<section>\n<h2>Times of the stations</h2>\n" + drawn(times_plot(page.figures)) + "</section>\n";
    out += "<section>\n<h2>Rhythm</h2>\n" + drawn(rhythm_plot(page.figures)) + "</section>\n";
    for (const CompareDocument& beside : page.beside) {
        const PageSplit split = page_split(beside);
        out += fmt::format("<section>\n<h2>{}</h2>\n{}", said(split.title), drawn(split.plot));
        if (!split.events.empty()) out += "<ol class=\"events\">\n";
        for (const base::Sentence& event : split.events)
            out += fmt::format("<li>{}</li>\n", said(event));
        out += split.events.empty() ? "</section>\n" : "</ol>\n</section>\n";
    }
    return out;
}

std::string picture(const PageNote& note) {
    if (note.picture) {
        const auto jpeg = media::encode_jpeg(*note.picture, kStillQuality);
        if (jpeg)
            return fmt::format(R"(<img width="{}" height="{}" alt="{}" src="data:image/jpeg;base64,{}">)",
                               note.picture->width, note.picture->height, html(note_where(note)),
                               base64(*jpeg));
        return fmt::format("<p class=\"gone\">No picture: {}</p>", html(jpeg.error().text()));
    }
    return note.no_picture.empty()
               ? std::string()
               : fmt::format("<p class=\"gone\">No picture: {}</p>", said(note.no_picture));
}

/// Line breaks that the coach typed stay; everything else is inert.
std::string lines_html(const std::string& text) {
    std::string out;
    for (std::size_t from = 0; from <= text.size();) {
        const std::size_t end = std::min(text.find('\n', from), text.size());
        out += (from > 0 ? "\n" : "") + html(text.substr(from, end - from));
        from = end + 1;
    }
    return out;
}

std::string notes(const AthletePage& page) {
    if (page.notes.empty()) return {};
    std::string out = "<section>\n<h2>Notes</h2>\n<ol class=\"notes\">\n";
    std::size_t number = 0;
    for (const PageNote& note : page.notes) {
        const bool wordy = !note.picture && note.no_picture.empty();
        const std::string file =
            note.short_clip.empty() ? "" : fmt::format(" · clip: {}", html(note.short_clip));
        out += fmt::format(
            "<li{}><p class=\"where\"><b>{}</b> · {}{}</p>{}<p class=\"said\" dir=\"auto\">{}</p></li>\n",
            wordy ? " class=\"wordy\"" : "", ++number, html(note_where(note)), file, picture(note),
            lines_html(note.text));
    }
    out += "</ol>\n";
    if (!page.faces.empty()) out += fmt::format("<p class=\"small\">{}</p>\n", html(page.faces));
    return out + "</section>\n";
}

std::string foot(const AthletePage& page) {
    std::string out = "<section class=\"wide\">\n<h2>How to read it</h2>\n";
    out += fmt::format("<p>{}</p>\n<p>{}</p>\n", kHowToRead, kWhatIsWhat);
    for (const base::Sentence& remark : page_remarks(page))
        out += fmt::format("<p>{}</p>\n", said(remark));
    return out + fmt::format("</section>\n<footer class=\"foot\"><p>{}</p></footer>\n",
                             escaped(fmt::format("{}", fmt::join(foot_sentences(page.ruling), " "))));
}

}  // namespace

std::string athlete_page_html(const AthletePage& page) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<title>{}</title>\n<style>{}{}</style>\n</head>\n<body>\n",
        said(page_title(page)), kSheetStyle, kPageStyle);
    out += heading(page) + answer(page) + notes(page) + stations(page) + plots(page) + foot(page);
    return out + "</body>\n</html>\n";
}

}  // namespace plumbmark::report
