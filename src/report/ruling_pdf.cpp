#include "report/ruling_pdf.h"

#include <fmt/format.h>

#include <array>

#include "base/text.h"
#include "media/still.h"
#include "report/internal/paper_parts.h"
#include "report/internal/plain.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/still_overlay.h"
#include "report/internal/words.h"
#include "report/ruling_text.h"

namespace plumbmark::report {
namespace {

using namespace paper;

/// How large letters are and how high a still may be, the best first: the first with which all fits one page
/// is taken.
struct Fit {
    double scale, still_height;
};
constexpr std::array kFits{Fit{1, 190},   Fit{1, 150},   Fit{1, 120},  Fit{0.96, 110},
                           Fit{0.96, 95}, Fit{0.92, 95}, Fit{0.92, 75}};

Block with_sign(Sign sign, std::vector<Words> words, Style style, double above = 0) {
    Paragraph paragraph{style, std::move(words), sign};
    return {std::move(paragraph), above};
}

Block answer_box(const RulingDocument& document) {
    Group box;
    box.tinted = box.barred = true;
    for (const Answer& one : answers(document))
        box.blocks.push_back(
            with_sign(sign_of(one.verdict), {{one.strong + " ", true}, {one.rest}}, Style::lead, 2));
    box.blocks.push_back(text_block(Style::lead, {{"Run: ", true}, {run_answer(document)}}, 2));
    for (const AppealWords& appeal : appeal_words(document))
        box.blocks.push_back(text_block(Style::body, {{appeal.strong + " ", true}, {appeal.rest}}, 2));
    return {std::move(box), 5};
}

void add_clauses(std::vector<Block>& out, const ruling::StationRuling& station) {
    for (const ruling::ClauseFinding& finding : station.clauses) {
        if (finding.state == ruling::ClauseState::broken)
            out.push_back(text_block(Style::body, {{"Broken: ", true}, {clause_sentence(finding)}}));
        else if (finding.state == ruling::ClauseState::not_shown)
            out.push_back(text_block(Style::body, {{"Not shown: ", true}, {clause_sentence(finding)}}));
    }
    if (const std::string kept = kept_words(station); !kept.empty())
        out.push_back(text_block(Style::note, {{kept}}));
}

void add_worlds(std::vector<Block>& out, const RulingDocument& document,
                const ruling::StationRuling& station) {
    Beside worlds;
    for (const ruling::World& world : station.worlds) {
        std::vector<Block> column{with_sign(
            sign_of(world.verdict), {{full_stop(base::sentence_case(world_sentence(world)))}}, Style::body)};
        const std::string order =
            full_stop(base::sentence_case(differing_events(document, station.worlds, world)));
        Group under;
        under.inset = 15;
        if (!order.empty()) under.blocks.push_back(text_block(Style::note, {{order}}));
        column.push_back({std::move(under)});
        worlds.columns.push_back(std::move(column));
        worlds.shares.push_back(1);
    }
    if (!worlds.columns.empty()) out.push_back({std::move(worlds), 3});
}

void add_settle(std::vector<Block>& out, const RulingDocument& document,
                const ruling::StationRuling& station) {
    if (station.verdict != ruling::Verdict::not_shown) return;
    if (station.settle.empty()) {
        out.push_back(text_block(Style::body, {{"No single change to the marks would settle it."}}, 2));
        return;
    }
    out.push_back(text_block(Style::body, {{"Any one of these would settle it", true}}, 3));
    out.back().leads = true;
    for (const ruling::SettleStep& step : station.settle) {
        const std::string where = step.where ? " · " + shown_words(document, *step.where) : "";
        out.push_back(with_sign(Sign::box, {{base::sentence_case(plain(step.sentence.english())) + where}},
                                Style::body));
    }
}

Block rung(const RulingDocument& document, const ruling::StationRuling& station) {
    Paragraph name{Style::subheading,
                   {{fmt::format("{} {}", station.station.value + 1,
                                 isolated(station_words(document.book, station.station)))}},
                   sign_of(station.verdict)};
    name.end = verdict_line(station);
    Group under;
    under.inset = 15;
    if (!station.sentence.empty())
        under.blocks.push_back(
            text_block(Style::body, {{full_stop(base::sentence_case(plain(station.sentence.english())))}}));
    if (contested(document, station)) add_clauses(under.blocks, station);
    add_worlds(under.blocks, document, station);
    add_settle(under.blocks, document, station);
    if (const std::string facts = facts_words(document, station); !facts.empty())
        under.blocks.push_back(text_block(Style::note, {{facts}}));
    if (const std::string call = floor_call_sentence(document, station.station); !call.empty())
        under.blocks.push_back(text_block(Style::body, {{call, true}}));
    Group whole;
    whole.together = true;
    whole.blocks.push_back({std::move(name)});
    whole.blocks.push_back({std::move(under)});
    return {std::move(whole), 4};
}

/// A picture, or why there is none, with what is said under it.
std::vector<Block> prepare(const RulingDocument& document, const Still& still) {
    std::vector<Block> out;
    auto jpeg = media::encode_jpeg(still.picture, kStillQuality);
    if (jpeg) {
        Picture picture{std::move(*jpeg), still.picture.width, still.picture.height,
                        still_overlay(document, still)};
        picture.says =
            still_heading(document, still) + ", " + side_words(still.side) + still_when(document, still);
        out.push_back({std::move(picture), 0, true});
    } else {
        out.push_back(text_block(Style::note, {{"No picture: " + plain(jpeg.error().text())}}));
    }
    out.push_back(
        text_block(Style::note, {{side_words(still.side), true}, {still_when(document, still)}}, 1));
    return out;
}

/// What stands on a sheet, with its pictures made ready once.
struct Prepared {
    const RulingDocument& document;
    const std::vector<Still>& stills;
    std::vector<std::vector<Block>> pictures;  ///< one entry a still
};

std::vector<Block> with_height(std::vector<Block> picture, double most_height) {
    if (auto* drawn = std::get_if<Picture>(&picture.front().what)) drawn->most_height = most_height;
    return picture;
}

/// A bracket's frames side by side under what they show. Each still by itself goes into a half.
std::vector<std::vector<Block>> pairs(const Prepared& prepared, double most_height) {
    const RulingDocument& document = prepared.document;
    const std::vector<Still>& stills = prepared.stills;
    std::vector<std::vector<Block>> out;
    for (std::size_t i = 0; i < stills.size();) {
        const Still& first = stills[i++];
        Beside pair;
        pair.gap = 4;
        pair.columns.push_back(with_height(prepared.pictures[i - 1], most_height));
        if (i < stills.size() && belong_together(first, stills[i]))
            pair.columns.push_back(with_height(prepared.pictures[i++], most_height));
        else
            pair.columns.emplace_back();
        pair.shares = {1, 1};
        std::vector<Block> figure{text_block(Style::note, {{still_heading(document, first)}})};
        figure.back().leads = true;
        figure.push_back({std::move(pair), 2});
        out.push_back(std::move(figure));
    }
    return out;
}

void add_stills(std::vector<Block>& out, const Prepared& prepared, double most_height) {
    const RulingDocument& document = prepared.document;
    if (prepared.stills.empty()) return;
    out.push_back(heading("The deciding frames"));
    std::vector<std::vector<Block>> figures = pairs(prepared, most_height);
    if (figures.size() == 1) {
        for (Block& block : figures.front())
            out.push_back(std::move(block));
    } else {
        for (std::size_t i = 0; i < figures.size(); i += 2) {
            Beside row;
            row.columns.push_back(std::move(figures[i]));
            row.columns.push_back(i + 1 < figures.size() ? std::move(figures[i + 1]) : std::vector<Block>{});
            row.shares = {1, 1};
            out.push_back({std::move(row), i > 0 ? 5.0 : 0.0});
        }
    }
    if (!document.faces.empty()) out.push_back(text_block(Style::fine, {{printable(document.faces)}}, 2));
}

std::vector<Block> numbered_list(const char* title, const std::vector<Numbered>& entries) {
    std::vector<Block> out{heading(title)};
    for (const auto& [number, words] : entries) {
        Paragraph entry{Style::fine, {{words}}};
        entry.label = std::to_string(number);
        out.push_back({std::move(entry)});
    }
    return out;
}

void add_marks(std::vector<Block>& out, const RulingDocument& document) {
    const std::vector<Numbered> relied_on = relied_on_entries(document);
    const std::vector<Numbered> spans = watched_entries(document);
    std::vector<Block> watched =
        spans.empty()
            ? std::vector<Block>{heading("What was watched"), text_block(Style::fine, {{kNothingWatched}})}
            : numbered_list("What was watched", spans);
    if (relied_on.empty()) {
        for (Block& block : watched)
            out.push_back(std::move(block));
        return;
    }
    Beside both;
    both.columns = {numbered_list("The marks it turns on", relied_on), std::move(watched)};
    both.shares = {1.55, 1};
    out.push_back({std::move(both)});
}

void add_measured(std::vector<Block>& out, const RulingDocument& document) {
    const std::vector<Numbered> entries = measured_entries(document);
    if (entries.empty()) return;
    for (Block& block : numbered_list("What was measured", entries))
        out.push_back(std::move(block));
}

std::vector<Block> signing(const RulingDocument& document) {
    std::vector<Block> out{heading("Who decides"), text_block(Style::fine, {{kWhoDecides}})};
    std::vector<std::string> names = signers(document);
    if (names.empty()) names = {"Head judge", "Second judge"};
    names.emplace_back("Coach, has seen it");
    const auto line = [](const std::string& under) {
        return std::vector<Block>{{Line{}}, text_block(Style::note, {{under}})};
    };
    for (const std::string& name : names) {
        Beside row;
        row.columns = {line(name), line("Date and time")};
        row.shares = {1.25, 1};
        out.push_back({std::move(row), 20});
    }
    return out;
}

void add_end(std::vector<Block>& out, const RulingDocument& document) {
    Beside both;
    both.columns = {{heading("How it was reached"), text_block(Style::fine, {{kHowReached}}),
                     heading("How to verify it"), text_block(Style::fine, {{kHowToVerify}})},
                    signing(document)};
    both.shares = {1, 1};
    out.push_back({std::move(both)});
    out.push_back({Line{}, 6});
    for (const std::string& sentence : foot_sentences(document))
        out.push_back(text_block(Style::fine, {{sentence}}));
}

Sheet sheet_of(const Prepared& prepared, const Fit& fit) {
    const RulingDocument& document = prepared.document;
    const std::string bib = document.athlete_number.empty() ? "" : "bib " + document.athlete_number;
    Sheet sheet;
    sheet.scale = fit.scale;
    sheet.title =
        joined_names({sheet_title(document), plain(document.run_label), plain(document.meet_name)}, ", ");
    sheet.maker = "Plumbmark " + document.program_version;
    sheet.foot = joined_names({"Ruling sheet", plain(document.run_label), plain(document.meet_name)}, ", ");
    sheet.blocks = head({document.meet_name, {document.venue, document.date}},
                        {"Ruling sheet", {document.run_label, bib, document.athlete_name}});
    sheet.blocks.push_back(text_block(Style::title, {{sheet_title(document)}}, 8));
    sheet.blocks.push_back(answer_box(document));
    for (const ruling::StationRuling& station : document.ruling.stations)
        sheet.blocks.push_back(rung(document, station));
    add_stills(sheet.blocks, prepared, fit.still_height);
    add_marks(sheet.blocks, document);
    add_measured(sheet.blocks, document);
    add_end(sheet.blocks, document);
    return sheet;
}

}  // namespace

base::Result<std::string> ruling_sheet_pdf(const RulingDocument& document, const std::vector<Still>& stills,
                                           PaperSize size) {
    Prepared prepared{document, stills, {}};
    for (const Still& still : stills)
        prepared.pictures.push_back(prepare(document, still));
    for (const Fit& fit : kFits) {
        const Sheet sheet = sheet_of(prepared, fit);
        if (pages_of(sheet, size) == 1) return make_pdf(sheet, size);
    }
    return make_pdf(sheet_of(prepared, kFits.front()), size);
}

}  // namespace plumbmark::report
