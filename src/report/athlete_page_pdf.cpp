// The athlete's page on paper.
#include <fmt/format.h>

#include "media/still.h"
#include "report/internal/athlete_parts.h"
#include "report/internal/paper_parts.h"
#include "report/internal/plain.h"
#include "report/internal/plot_drawing.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/still_overlay.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using namespace paper;

constexpr double kTallestPlot = 640, kTallestStill = 190;

Block answer_box(const AthletePage& page) {
    Group box;
    box.tinted = box.barred = true;
    box.blocks.push_back(text_block(Style::lead, {{"Run: ", true}, {run_answer(page.ruling)}}, 2));
    for (const PageFact& fact : page_losses(page)) {
        box.blocks.push_back(text_block(Style::body, {{fact.title, true}}, 4));
        box.blocks.back().leads = true;
        for (const base::Sentence& one : fact.says) {
            Paragraph line{Style::body, {{one}}, Sign::dot};
            box.blocks.push_back({std::move(line), 1});
        }
    }
    return {std::move(box), 5};
}

/// A word at the left, what is said to it beside it; one below the other where that would be too high.
void add_facts(std::vector<Block>& out, const std::vector<PageFact>& facts) {
    for (const PageFact& fact : facts) {
        Beside row;
        row.columns.resize(2);
        row.columns[0].push_back(text_block(Style::note, {{fact.title}}));
        for (const base::Sentence& one : fact.says)
            row.columns[1].push_back(text_block(Style::body, {{one}}));
        row.shares = {1, 4};
        row.gap = 8;
        out.push_back({std::move(row), 1.5});
    }
}

void add_stations(std::vector<Block>& out, const AthletePage& page) {
    out.push_back(heading("Station by station"));
    for (const PageStation& station : page_stations(page)) {
        Paragraph name{Style::subheading,
                       {{fmt::format("{} {}", station.number, isolated(station.name))}},
                       sign_of(station.verdict)};
        name.end = station.verdict_words;
        Group under;
        under.inset = 15;
        if (!station.because.empty()) under.blocks.push_back(text_block(Style::body, {{station.because}}));
        add_facts(under.blocks, station.facts);
        out.push_back({std::move(name), 6});
        out.push_back({std::move(under)});
    }
    if (const auto between = page_between(page); !between.empty()) {
        out.push_back(heading("Between the stations and after the last"));
        add_facts(out, between);
    }
}

void add_plot(std::vector<Block>& out, const std::string& title, const Plot& plot) {
    PlotDrawing drawing = plot_drawing(plot);
    out.push_back(heading(title));
    out.push_back(
        {Picture{
             {}, drawing.width, drawing.height, std::move(drawing.strokes), plot_says(plot), kTallestPlot},
         3});
}

void add_plots(std::vector<Block>& out, const AthletePage& page) {
    add_plot(out, "Times of the stations", times_plot(page.figures));
    add_plot(out, "Rhythm", rhythm_plot(page.figures));
    for (const CompareDocument& beside : page.beside) {
        const PageSplit split = page_split(beside);
        add_plot(out, split.title, split.plot);
        std::size_t number = 0;
        for (const base::Sentence& event : split.events) {
            Paragraph line{Style::fine, {{event}}};
            line.label = std::to_string(++number);
            out.push_back({std::move(line)});
        }
    }
}

/// The note's picture, or why there is none.
void add_picture(std::vector<Block>& out, const PageNote& note) {
    std::string trouble = note.no_picture.english();
    if (note.picture) {
        auto jpeg = media::encode_jpeg(*note.picture, kStillQuality);
        if (jpeg) {
            Picture picture{std::move(*jpeg), note.picture->width, note.picture->height, {},
                            note_where(note), kTallestStill};
            out.push_back({std::move(picture), 1, true});
            return;
        }
        trouble = jpeg.error().text();
    }
    if (!trouble.empty()) out.push_back(text_block(Style::note, {{"No picture: " + plain(trouble)}}));
}

std::vector<Block> note_blocks(const PageNote& note, std::size_t number) {
    const std::string file = note.short_clip.empty() ? "" : " · clip: " + plain(note.short_clip);
    std::vector<Block> out{
        text_block(Style::note, {{std::to_string(number), true}, {" · " + note_where(note) + file}})};
    out.back().leads = true;
    add_picture(out, note);
    for (std::size_t from = 0; from < note.text.size();) {
        const std::size_t end = std::min(note.text.find('\n', from), note.text.size());
        out.push_back(text_block(Style::body, {{isolated(note.text.substr(from, end - from))}}, 1));
        from = end + 1;
    }
    return out;
}

/// Two beside each other where both have pictures, else one over the width.
void add_notes(std::vector<Block>& out, const AthletePage& page) {
    if (page.notes.empty()) return;
    out.push_back(heading("Notes"));
    const auto pictured = [](const PageNote& note) { return note.picture || !note.no_picture.empty(); };
    for (std::size_t i = 0; i < page.notes.size(); ++i) {
        const PageNote& note = page.notes[i];
        if (!pictured(note)) {
            Group group;
            group.together = true;
            group.blocks = note_blocks(note, i + 1);
            out.push_back({std::move(group), 5});
            continue;
        }
        Beside row;
        row.columns.push_back(note_blocks(note, i + 1));
        const bool pair = i + 1 < page.notes.size() && pictured(page.notes[i + 1]);
        row.columns.push_back(pair ? note_blocks(page.notes[i + 1], i + 2) : std::vector<Block>{});
        i += pair ? 1 : 0;
        row.shares = {1, 1};
        out.push_back({std::move(row), 5});
    }
    if (!page.faces.empty()) out.push_back(text_block(Style::fine, {{printable(page.faces)}}, 3));
}

void add_end(std::vector<Block>& out, const AthletePage& page) {
    out.push_back(heading("How to read it"));
    out.push_back(text_block(Style::fine, {{kHowToRead}}));
    out.push_back(text_block(Style::fine, {{kWhatIsWhat}}, 2));
    for (const base::Sentence& remark : page_remarks(page))
        out.push_back(text_block(Style::fine, {{remark}}, 2));
    out.push_back({Line{}, 6});
    for (const std::string& sentence : foot_sentences(page.ruling))
        out.push_back(text_block(Style::fine, {{sentence}}));
}

}  // namespace

base::Result<std::string> athlete_page_pdf(const AthletePage& page, PaperSize size) {
    const RulingDocument& ruling = page.ruling;
    const std::string bib = ruling.athlete_number.empty() ? "" : "bib " + ruling.athlete_number;
    Sheet sheet;
    sheet.title = joined_names({page_title(page), plain(ruling.meet_name)}, ", ");
    sheet.maker = "Plumbmark " + ruling.program_version;
    sheet.foot = joined_names({"Athlete's page", page_title(page), plain(ruling.meet_name)}, ", ");
    sheet.blocks = head({ruling.meet_name, {ruling.venue, ruling.date}},
                        {"Athlete's page", {ruling.run_label, bib, ruling.athlete_name}});
    sheet.blocks.push_back(text_block(Style::title, {{page_title(page)}}, 8));
    sheet.blocks.push_back(answer_box(page));
    add_notes(sheet.blocks, page);
    add_stations(sheet.blocks, page);
    add_plots(sheet.blocks, page);
    add_end(sheet.blocks, page);
    return make_pdf(sheet, size);
}

}  // namespace plumbmark::report
