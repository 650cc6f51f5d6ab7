#include "report/ruling_text.h"

#include <fmt/format.h>

#include <iterator>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "report/internal/plain.h"
#include "report/internal/sheet_parts.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

/// Lines with their indentation, so that nothing below has to count spaces.
class Lines {
  public:
    void add(int depth, std::string_view text) {
        out_.append(static_cast<std::size_t>(depth) * 3, ' ');
        out_ += text;
        out_ += '\n';
    }
    void gap() { out_ += '\n'; }
    [[nodiscard]] std::string take() { return std::move(out_); }

  private:
    std::string out_;
};

std::string joined(std::vector<std::string> words, std::string_view between) {
    std::erase(words, std::string());
    return fmt::format("{}", fmt::join(words, between));
}

void write_heading(Lines& lines, const RulingDocument& document) {
    lines.add(0, joined({plain(document.meet_name), plain(document.venue), plain(document.date)}, ", "));
    const std::string run = joined({plain(document.run_label), athlete_words(document)}, ", ");
    if (!run.empty()) lines.add(0, base::sentence_case(run));
    lines.add(0, fmt::format("Course book: {}, revision {}{}", plain(document.book.name),
                             plain(document.book.revision), course_part(document, plain)));
    if (!document.question.empty()) lines.add(0, "Question: " + plain(document.question));
}

void write_clauses(Lines& lines, const ruling::StationRuling& station) {
    for (const ruling::ClauseFinding& finding : station.clauses) {
        if (finding.sentence.empty()) continue;
        if (finding.state == ruling::ClauseState::broken)
            lines.add(1, full_stop("Broken: " + plain(finding.sentence.english())));
        else if (finding.state == ruling::ClauseState::not_shown)
            lines.add(1, full_stop("Not shown: " + plain(finding.sentence.english())));
    }
}

void write_deciding(Lines& lines, const RulingDocument& document, const ruling::StationRuling& station) {
    std::string line;
    if (station.deciding_mark.valid()) line = mark_says(document, station.deciding_mark);
    if (station.decided_at) line = joined({line, shown_words(document, *station.decided_at)}, "; ");
    if (!line.empty()) lines.add(1, full_stop("Decided at the latest by: " + line));
}

void write_list(Lines& lines, std::string_view title, const std::vector<std::string>& entries) {
    lines.add(1, title);
    for (const std::string& entry : entries)
        lines.add(2, "- " + entry);
}

void write_rests_on(Lines& lines, const RulingDocument& document, const ruling::StationRuling& station) {
    if (station.rests_on.empty()) return;
    std::vector<std::string> entries;
    for (const ruling::MarkId id : station.rests_on)
        entries.push_back(mark_line(document, id));
    write_list(lines, "It rests on these, and none can be left out:", entries);
}

void write_not_shown(Lines& lines, const RulingDocument& document, const ruling::StationRuling& station) {
    if (!station.worlds.empty()) lines.add(1, "It can have been:");
    for (const ruling::World& world : station.worlds) {
        lines.add(2, "- " + full_stop(world_sentence(world)));
        if (const std::string order = differing_events(document, station.worlds, world); !order.empty())
            lines.add(3, full_stop(order));
    }
    if (station.verdict != ruling::Verdict::not_shown) return;
    if (station.settle.empty()) {
        lines.add(1, "No single change to the marks would settle it.");
        return;
    }
    std::vector<std::string> entries;
    for (const ruling::SettleStep& step : station.settle)
        entries.push_back(joined(
            {plain(step.sentence.english()), step.where ? shown_words(document, *step.where) : ""}, ": "));
    write_list(lines, "Any one of these would settle it:", entries);
}

void write_station(Lines& lines, const RulingDocument& document, const ruling::StationRuling& station) {
    lines.gap();
    lines.add(0, fmt::format("{}. {}: {}", station.station.value + 1,
                             station_words(document.book, station.station), verdict_line(station)));
    if (!station.sentence.empty())
        lines.add(1, full_stop(base::sentence_case(plain(station.sentence.english()))));
    write_clauses(lines, station);
    write_deciding(lines, document, station);
    if (station.margin) lines.add(1, "Margin: " + margin_sentence(*station.margin));
    write_rests_on(lines, document, station);
    write_not_shown(lines, document, station);
    if (const std::string call = floor_call_sentence(document, station.station); !call.empty())
        lines.add(1, call);
}

void write_run(Lines& lines, const RulingDocument& document) {
    lines.gap();
    const ruling::RunRuling& run = document.ruling;
    lines.add(0, full_stop("Run: " + (run.sentence.empty() ? "no result" : plain(run.sentence.english()))));
    if (run.split) lines.add(1, full_stop("Last clear completed: " + shown_words(document, *run.split)));
    if (run.split_high) lines.add(1, "Times from video are brackets; the official clock is the meet's.");
}

void write_appeals(Lines& lines, const RulingDocument& document) {
    for (const AppealWords& appeal : appeal_words(document))
        lines.add(0, unisolated(appeal.strong + " " + appeal.rest));
}

void write_measures(Lines& lines, const RulingDocument& document) {
    if (document.measures.empty()) return;
    lines.gap();
    lines.add(0, "Measured:");
    for (const MeasureEntry& one : document.measures)
        lines.add(1, measure_sentences(document, one));
}

void write_clip_times(Lines& lines, const RulingDocument& document) {
    for (const ClipEntry& clip : document.clips) {
        const std::string times = clip_times_sentences(clip);
        if (!times.empty()) lines.add(0, plain(clip.name) + ": " + times);
    }
}

}  // namespace

std::string floor_call_sentence(const RulingDocument& document, course::StationId station) {
    std::string out;
    for (const ruling::StationRuling& ruling : document.ruling.stations) {
        if (ruling.station != station) continue;
        for (const FloorCallEntry& call : calls_for(document, station)) {
            const std::string judge = call.judge.empty() ? "" : ", given by " + plain(call.judge);
            out += fmt::format("{}Floor call: {}{}{}. {}.", out.empty() ? "" : " ", call_words(call.call),
                               judge, call.under_appeal ? ", under appeal" : "",
                               base::sentence_case(outcome_words(call, ruling, document.when_not_shown)));
        }
    }
    return out;
}

std::string ruling_text(const RulingDocument& document) {
    Lines lines;
    write_heading(lines, document);
    for (const ruling::StationRuling& station : document.ruling.stations)
        write_station(lines, document, station);
    write_run(lines, document);
    write_appeals(lines, document);
    write_measures(lines, document);
    write_clip_times(lines, document);
    return lines.take();
}

}  // namespace plumbmark::report
