// The briefing as a page and on paper.
#include <fmt/format.h>

#include "report/briefing.h"
#include "report/internal/paper_parts.h"
#include "report/internal/plain.h"
#include "report/internal/plan_drawing.h"
#include "report/internal/sheet_style.h"
#include "report/internal/stroke_svg.h"

namespace plumbmark::report {
namespace {

constexpr const char* kBriefingStyle = R"css(
.foremost { font-size: 10.5pt; line-height: 1.36; padding: 1.6mm 3mm; background: #f4f2ed; border-left: 1.1mm solid #1d1f21; }
.foremost p + p { margin-top: .8mm; }
.foremost p:first-child { font-weight: 600; }
h1 + p { margin-bottom: 2mm; }
section { break-inside: avoid; }
section h2 { font-size: 11pt; border: 0; margin: 3.4mm 0 .6mm; }
dl { display: grid; grid-template-columns: 34mm 1fr; gap: .5mm 3mm; }
dt { font-weight: 600; font-size: 8.4pt; }
.plan { margin: 1mm 0 1.6mm; break-inside: avoid; }
.plan svg { display: block; width: 100%; max-height: 62mm; }
.plan text { font-family: Inter, "Noto Sans", "DejaVu Sans", sans-serif; }
.plan figcaption { color: #45484b; }
)css";

std::string title(const BriefingDocument& document) {
    return paper::joined_names({"Briefing", plain(document.course)}, ": ");
}

/// What the briefing is of, behind the course's name.
std::vector<std::string> of_what(const BriefingDocument& document) {
    std::vector<std::string> out{"revision " + isolated(document.revision)};
    if (!document.division.empty()) out.push_back("division " + isolated(document.division));
    if (!document.lane.empty()) out.push_back("lane " + isolated(document.lane));
    return out;
}

std::string whose(const BriefingDocument& document) {
    return document.meet_name.empty() ? document.course : document.meet_name;
}

std::string paragraphs(const std::vector<std::string>& sentences) {
    std::string out;
    for (const std::string& sentence : sentences)
        out += "<p>" + escaped(sentence) + "</p>\n";
    return out;
}

std::string points_html(const std::vector<BriefingPoint>& points) {
    std::string out = "<dl>\n";
    for (const BriefingPoint& point : points)
        out += fmt::format("<dt>{}</dt><dd>{}</dd>\n", html(point.title), paragraphs(point.sentences));
    return out + "</dl>\n";
}

std::string drawing_says(const BriefingStation& station) {
    return "Where the things of " + station.name + " stand, seen from above";
}

std::string plan_html(const BriefingStation& station) {
    if (station.plan.places.empty()) return "";
    const PlanDrawing drawing = plan_drawing(station.plan);
    std::string out =
        fmt::format(R"(<figure class="plan"><svg viewBox="0 0 {} {}" role="img" aria-label="{}">)",
                    drawing.width, drawing.height, html(drawing_says(station)));
    for (const paper::Stroke& stroke : drawing.strokes)
        out += stroke_svg(stroke);
    return out + "</svg><figcaption>" + paragraphs(plan_legend(station.plan)) + "</figcaption></figure>\n";
}

void add_plan(std::vector<paper::Block>& out, const BriefingStation& station) {
    using namespace paper;
    if (station.plan.places.empty()) return;
    PlanDrawing drawing = plan_drawing(station.plan);
    Group group;
    group.together = true;
    group.blocks.push_back(
        {Picture{{}, drawing.width, drawing.height, std::move(drawing.strokes), drawing_says(station), 175}});
    for (const std::string& sentence : plan_legend(station.plan))
        group.blocks.push_back(text_block(Style::note, {{sentence}}, 1));
    out.push_back({std::move(group), 3});
}

/// A topic's word at the left, its sentences beside it.
void add_points(std::vector<paper::Block>& out, const std::vector<BriefingPoint>& points) {
    using namespace paper;
    for (const BriefingPoint& point : points) {
        Beside row;
        row.columns.resize(2);
        row.columns[0].push_back(text_block(Style::body, {{point.title, true}}));
        for (const std::string& sentence : point.sentences)
            row.columns[1].push_back(text_block(Style::body, {{sentence}}));
        row.shares = {1, 4.6};
        row.gap = 8;
        out.push_back({std::move(row), 2});
    }
}

}  // namespace

std::string briefing_html(const BriefingDocument& document) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'\">\n<title>{}</title>\n<style>{}{}</style>\n</head>\n<body>\n",
        html(title(document)), kSheetStyle, kBriefingStyle);
    out += fmt::format(
        "<header "
        "class=\"head\"><p><b><bdi>{}</bdi></b><br>{}</p><p><b>Briefing</b></p></header>\n<h1>{}</h1>\n"
        "<p>{}</p>\n<div class=\"foremost\">\n{}</div>\n<section>\n<h2>The run</h2>\n{}</section>\n",
        html(whose(document)),
        escaped(paper::joined_names({isolated(document.venue), isolated(document.date)}, " · ")),
        html(document.course), escaped(paper::joined_names(of_what(document), ", ")),
        paragraphs(document.foremost), points_html(document.course_points));
    for (const BriefingStation& station : document.stations)
        out += fmt::format("<section>\n<h2>{}. <bdi>{}</bdi></h2>\n{}{}</section>\n", station.number,
                           html(station.name), plan_html(station), points_html(station.points));
    if (!document.appeals.empty())
        out += "<section>\n<h2>Appeals</h2>\n" + paragraphs(document.appeals) + "</section>\n";
    return out + "</body>\n</html>\n";
}

base::Result<std::string> briefing_pdf(const BriefingDocument& document, PaperSize size) {
    using namespace paper;
    Sheet sheet;
    sheet.title = title(document);
    sheet.maker = "Plumbmark " + document.program_version;
    sheet.foot =
        joined_names({"Briefing", plain(document.course), "revision " + plain(document.revision)}, ", ");
    sheet.blocks = head({whose(document), {document.venue, document.date}}, {"Briefing", {}});
    sheet.blocks.push_back(text_block(Style::title, {{isolated(document.course)}}, 8));
    sheet.blocks.push_back(text_block(Style::body, {{joined_names(of_what(document), ", ")}}));
    Group foremost;
    foremost.tinted = foremost.barred = true;
    for (const std::string& sentence : document.foremost)
        foremost.blocks.push_back(text_block(Style::lead, {{sentence, foremost.blocks.empty()}}, 2));
    sheet.blocks.push_back({std::move(foremost), 6});
    sheet.blocks.push_back(heading("The run"));
    add_points(sheet.blocks, document.course_points);
    for (const BriefingStation& station : document.stations) {
        sheet.blocks.push_back(text_block(
            Style::subheading, {{fmt::format("{}. {}", station.number, isolated(station.name))}}, 10));
        add_plan(sheet.blocks, station);
        add_points(sheet.blocks, station.points);
    }
    if (!document.appeals.empty()) {
        sheet.blocks.push_back(heading("Appeals"));
        for (const std::string& sentence : document.appeals)
            sheet.blocks.push_back(text_block(Style::body, {{sentence}}));
    }
    return make_pdf(sheet, size);
}

}  // namespace plumbmark::report
