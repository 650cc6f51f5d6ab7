#include "report/ruling_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "report/internal/plain.h"
#include "report/internal/shapes.h"
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

std::string title(const RulingDocument& document) {
    const std::string run = document.run_label.empty() ? "the run" : plain(document.run_label);
    return document.question.empty() ? "Ruling on " + run : plain(document.question);
}

std::string heading(const RulingDocument& document) {
    const std::string bib = document.athlete_number.empty() ? "" : "bib " + document.athlete_number;
    return fmt::format(
        "<header class=\"head\"><p><b><bdi>{}</bdi></b><br>{}</p><p><b>Ruling "
        "sheet</b><br>{}</p></header>\n<h1>{}</h1>\n",
        html(document.meet_name), names_line({document.venue, document.date}),
        names_line({document.run_label, bib, document.athlete_name}), html(title(document)));
}

/// The ruling in a sentence: each station under appeal with what becomes of its call, then the run.
std::string answer(const RulingDocument& document) {
    std::string out = "<div class=\"answer\">\n";
    for (const ruling::StationRuling& station : document.ruling.stations)
        for (const FloorCallEntry& call : calls_for(document, station.station))
            if (call.under_appeal)
                out += fmt::format("<p>{} <b>{}: {}.</b> {}</p>\n", verdict_shape(station.verdict),
                                   html(base::sentence_case(station_words(document.book, station.station))),
                                   html(verdict_line(station)),
                                   html(fmt::format("The floor call was {}. {}.", call_words(call.call),
                                                    base::sentence_case(outcome_words(
                                                        call, station, document.when_not_shown)))));
    const std::string run = document.ruling.sentence.empty() ? "no result" : plain(document.ruling.sentence);
    return out + fmt::format("<p><b>Run:</b> {}</p>\n</div>\n", html(full_stop(run)));
}

std::string station_name(const RulingDocument& document, const std::string& key) {
    for (const course::Station& station : document.book.stations)
        if (station.key == key) return station.name;
    return key;
}

std::string one_still(const RulingDocument& document, const Still& still) {
    const auto clip = static_cast<std::size_t>(still.clip.value);
    std::string when;
    if (still.clip.valid() && clip < document.evidence.clips.size() && still.frame >= 0) {
        const auto& times = document.evidence.clips[clip].frame_times;
        if (static_cast<std::size_t>(still.frame) < times.size())
            when = " · " + base::clock_text(times[static_cast<std::size_t>(still.frame)]);
    }
    return fmt::format("<div>{}<p class=\"side\"><b>{}</b> · f {}{}</p></div>\n", still_svg(document, still),
                       still.side == StillSide::not_yet ? "not yet" : "it is", still.frame, when);
}

bool belong_together(const Still& a, const Still& b) {
    return a.station_key == b.station_key && a.mark == b.mark && a.clip == b.clip && a.side != b.side;
}

std::string pairs(const RulingDocument& document, const std::vector<Still>& stills) {
    if (stills.empty()) return {};
    std::string figures;
    std::size_t count = 0;
    for (std::size_t i = 0; i < stills.size(); ++count) {
        const Still& first = stills[i];
        figures += fmt::format(
            "<figure>\n<figcaption><b><bdi>{}</bdi></b>: {} · <bdi>{}</bdi></figcaption>\n<div "
            "class=\"pair\">\n",
            html(station_name(document, first.station_key)), html(first.caption),
            html(clip_words(document, first.clip)));
        figures += one_still(document, first);
        if (++i < stills.size() && belong_together(first, stills[i]))
            figures += one_still(document, stills[i++]);
        figures += "</div>\n</figure>\n";
    }
    return fmt::format(
        "<section>\n<h2>The deciding frames</h2>\n<div class=\"stills{}\">\n{}</div>\n</section>\n",
        count == 1 ? " single" : "", figures);
}

std::string watched(const RulingDocument& document) {
    std::string entries;
    for (const ruling::WatchedSpan& span : document.evidence.spans)
        entries += fmt::format("<li><i>{}</i>{}: {}</li>\n", span.id.value,
                               html(shown_words(document, span_shown(span))),
                               html(scope_words(span.scope, document)));
    if (entries.empty())
        return "<section><h2>What was watched</h2><p>No stretch of the footage was vouched for, so what was "
               "not marked is "
               "not ruled out.</p></section>\n";
    return "<section><h2>What was watched</h2>\n<ul>\n" + entries + "</ul></section>\n";
}

/// Every mark a verdict rests on or that would settle one, once, by its number; watched spans stand in their
/// own list.
std::string relied_on(const RulingDocument& document) {
    std::set<ruling::MarkId> ids;
    for (const ruling::StationRuling& station : document.ruling.stations) {
        ids.insert(station.rests_on.begin(), station.rests_on.end());
        if (station.deciding_mark.valid()) ids.insert(station.deciding_mark);
        for (const ruling::SettleStep& step : station.settle)
            ids.insert(step.marks.begin(), step.marks.end());
    }
    for (const ruling::WatchedSpan& span : document.evidence.spans)
        ids.erase(span.id);
    std::string entries;
    for (const ruling::MarkId id : ids)
        entries += fmt::format("<li><i>{}</i>{}</li>\n", id.value, html(mark_line(document, id)));
    if (entries.empty()) return {};
    return "<section><h2>The marks it turns on</h2>\n<ul>\n" + entries + "</ul></section>\n";
}

std::string how_reached() {
    return "<section><h2>How it was reached</h2>\n"
           "<p>Video never shows when something happened, only that it had not by one frame and had by "
           "another. So each "
           "time here is a pair of frames: not yet at the first, it had at the second. The course book's "
           "rules were held "
           "against every order and time of events that fits all pairs. CLEAR or FAIL: all of them give the "
           "same answer. "
           "NOT SHOWN: they do not, and the footage decides nothing. What was not marked counts as absent "
           "only where a "
           "reviewer vouched for having watched. Margin: how many frames wider, at both ends, every mark "
           "could be with the "
           "same ruling.</p></section>\n";
}

std::string who_decides() {
    return "<section><h2>Who decides</h2>\n<p>The people who sign here decide; the program shows what the "
           "footage "
           "supports.</p>\n<div class=\"signatures\"><p>Head judge</p><p>Date and time</p><p>Second judge</p>"
           "<p>Coach, has seen it</p></div></section>\n";
}

std::string foot(const RulingDocument& document) {
    std::string out = fmt::format(
        "<footer class=\"foot\"><p>Course book <bdi>{}</bdi>, revision <bdi>{}</bdi>{}.",
        html(document.book.name), html(document.book.revision),
        course_part(document, [](const std::string& name) { return "<bdi>" + html(name) + "</bdi>"; }));
    for (const ClipEntry& clip : document.clips) {
        out += fmt::format(
            " Clip <bdi>{}</bdi>: <bdi>{}</bdi>{}, {}, fingerprint {}{}.", html(clip.name), html(clip.file),
            clip.video_stream > 0 ? fmt::format(", video stream {}", clip.video_stream + 1) : "",
            base::counted(clip.frame_count, "frame"), html(clip.fingerprint),
            clip.sha256.empty() ? "" : ", SHA-256 of the whole file " + html(clip.sha256));
        const std::string times = clip_times_sentences(clip);
        if (!times.empty()) out += " " + html(times);
    }
    out += fmt::format(
        " Clock drift allowed: {} parts per million. Frames count from 0. Program version {}.</p></footer>\n",
        document.settings.drift_parts_per_million, html(document.program_version));
    return out;
}

}  // namespace

std::string ruling_sheet_html(const RulingDocument& document, const std::vector<Still>& stills) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n{}\n"
        "<meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\">\n<title>{}</title>\n<style>{}</style>\n"
        "</head>\n<body>\n",
        kPolicy, html(title(document)), kSheetStyle);
    out += heading(document) + answer(document) + sheet_rungs(document) + pairs(document, stills);
    out += "<div class=\"columns marks\">\n" + relied_on(document) + watched(document) + "</div>\n";
    out += "<div class=\"columns\">\n" + how_reached() + who_decides() + "</div>\n";
    return out + foot(document) + "</body>\n</html>\n";
}

}  // namespace plumbmark::report
