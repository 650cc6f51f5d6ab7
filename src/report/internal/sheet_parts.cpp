#include "report/internal/sheet_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <set>

#include "base/text.h"
#include "meet/appeals.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"

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

std::string station_name(const RulingDocument& document, const std::string& key) {
    for (const course::Station& station : document.book.stations)
        if (station.key == key) return isolated(station.name);
    return isolated(key);
}

/// "2026-05-02 14:32 UTC".
std::string day_and_time(meet::WallTime time) {
    using namespace std::chrono;
    const sys_time<milliseconds> at{milliseconds{time.ms}};
    const auto day = floor<days>(at);
    const year_month_day date{day};
    const hh_mm_ss clock{floor<minutes>(at - day)};
    return fmt::format("{:04}-{:02}-{:02} {:02}:{:02} UTC", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                       clock.hours().count(), clock.minutes().count());
}

std::string signed_by(const meet::Signature& signature) {
    return fmt::format("{} ({})", isolated(signature.name), meet::capacity_words(signature.capacity));
}

std::string outcome_of_decision(const meet::Decision& decision) {
    switch (decision.outcome) {
        case meet::Outcome::call_stands:
            return "the call stands";
        case meet::Outcome::call_changed:
            return fmt::format("the call is changed to {}", call_words(decision.call));
        case meet::Outcome::rerun:
            break;
    }
    return "the run is repeated";
}

std::string decision_words(const meet::Decision& decision) {
    std::string out =
        fmt::format(" Decided {}: {} (the review came to {}).", day_and_time(decision.decided_at),
                    outcome_of_decision(decision), ruling::verdict_words(decision.ruling));
    if (!decision.reason.empty()) out += " " + full_stop(base::sentence_case(plain(decision.reason)));
    std::vector<std::string> names;
    for (const meet::Signature& signature : decision.signatures)
        names.push_back(signed_by(signature));
    return names.empty() ? out : out + " Signed: " + base::listed(names) + ".";
}

std::string status_words(const AppealEntry& entry) {
    const std::string reason = entry.appeal.reason.empty() ? "" : ": " + plain(entry.appeal.reason);
    switch (entry.appeal.status) {
        case meet::AppealStatus::refused:
            return " " + full_stop("Refused" + reason);
        case meet::AppealStatus::withdrawn:
            return " " + full_stop("Withdrawn" + reason);
        case meet::AppealStatus::lodged:
            break;
    }
    return entry.decision ? decision_words(*entry.decision) : " Not decided yet.";
}

}  // namespace

std::string sheet_title(const RulingDocument& document) {
    const std::string run = document.run_label.empty() ? "the run" : plain(document.run_label);
    return document.question.empty() ? "Ruling on " + run : plain(document.question);
}

std::vector<Answer> answers(const RulingDocument& document) {
    std::vector<Answer> out;
    for (const ruling::StationRuling& station : document.ruling.stations)
        for (const FloorCallEntry& call : calls_for(document, station.station)) {
            if (!call.under_appeal) continue;
            const std::string name = base::sentence_case(station_words(document.book, station.station));
            const std::string outcome = outcome_words(call, station, document.when_not_shown);
            out.push_back({station.verdict, fmt::format("{}: {}.", name, verdict_line(station)),
                           fmt::format("The floor call was {}. {}.", call_words(call.call),
                                       base::sentence_case(outcome))});
        }
    return out;
}

std::string run_answer(const RulingDocument& document) {
    return full_stop(document.ruling.sentence.empty() ? "no result"
                                                      : plain(document.ruling.sentence.english()));
}

std::string facts_words(const RulingDocument& document, const ruling::StationRuling& station) {
    std::vector<std::string> facts;
    if (station.decided_at) facts.push_back("decided on " + shown_words(document, *station.decided_at));
    if (station.margin) facts.push_back(short_margin(*station.margin));
    if (!station.rests_on.empty()) facts.push_back(mark_numbers(station.rests_on));
    if (facts.empty()) return {};
    return base::sentence_case(fmt::format("{}", fmt::join(facts, "; "))) + ".";
}

std::string clause_sentence(const ruling::ClauseFinding& finding) {
    return full_stop(
        plain(finding.sentence.empty() ? ruling::clause_words(finding.clause) : finding.sentence.english()));
}

std::string kept_words(const ruling::StationRuling& station) {
    std::vector<std::string> kept;
    for (const ruling::ClauseFinding& finding : station.clauses)
        if (finding.state == ruling::ClauseState::kept)
            kept.emplace_back(ruling::clause_words(finding.clause));
    return kept.empty() ? std::string() : fmt::format("Kept: {}.", fmt::join(kept, "; "));
}

bool contested(const RulingDocument& document, const ruling::StationRuling& station) {
    return station.verdict == ruling::Verdict::fail || station.verdict == ruling::Verdict::not_shown ||
           under_appeal(document, station.station);
}

std::string still_heading(const RulingDocument& document, const Still& still) {
    const std::string caption = still.caption.empty() ? "" : ": " + plain(still.caption);
    return fmt::format("{}{} · {}", station_name(document, still.station_key), caption,
                       isolated(clip_words(document, still.clip)));
}

const char* side_words(StillSide side) {
    return side == StillSide::not_yet ? "not yet" : "it is";
}

std::string still_when(const RulingDocument& document, const Still& still) {
    std::string when = fmt::format(" · f {}", still.frame);
    const auto clip = static_cast<std::size_t>(still.clip.value);
    if (!still.clip.valid() || clip >= document.evidence.clips.size() || still.frame < 0) return when;
    const auto& times = document.evidence.clips[clip].frame_times;
    if (static_cast<std::size_t>(still.frame) >= times.size()) return when;
    return when + " · " + base::clock_text(times[static_cast<std::size_t>(still.frame)]);
}

bool belong_together(const Still& a, const Still& b) {
    return a.station_key == b.station_key && a.mark == b.mark && a.clip == b.clip && a.side != b.side;
}

std::vector<Numbered> watched_entries(const RulingDocument& document) {
    std::vector<Numbered> entries;
    for (const ruling::WatchedSpan& span : document.evidence.spans)
        entries.emplace_back(span.id.value, shown_words(document, span_shown(span)) + ": " +
                                                scope_words(span.scope, document));
    return entries;
}

std::vector<Numbered> relied_on_entries(const RulingDocument& document) {
    std::set<ruling::MarkId> ids;
    for (const ruling::StationRuling& station : document.ruling.stations) {
        ids.insert(station.rests_on.begin(), station.rests_on.end());
        if (station.deciding_mark.valid()) ids.insert(station.deciding_mark);
        for (const ruling::SettleStep& step : station.settle)
            ids.insert(step.marks.begin(), step.marks.end());
    }
    for (const ruling::WatchedSpan& span : document.evidence.spans)
        ids.erase(span.id);
    std::vector<Numbered> entries;
    for (const ruling::MarkId id : ids)
        entries.emplace_back(id.value, mark_line(document, id));
    return entries;
}

std::vector<Numbered> measured_entries(const RulingDocument& document) {
    std::vector<Numbered> entries;
    for (const MeasureEntry& one : document.measures)
        entries.emplace_back(one.mark.value, measure_sentences(document, one));
    return entries;
}

std::vector<AppealWords> appeal_words(const RulingDocument& document) {
    std::vector<AppealWords> out;
    for (const AppealEntry& entry : document.appeals) {
        const meet::Appeal& appeal = entry.appeal;
        const std::string by = appeal.lodged_by.empty() ? "" : isolated(appeal.lodged_by) + ", ";
        const std::string point =
            appeal.point.empty() ? "" : " " + full_stop("Asked: " + plain(appeal.point));
        out.push_back(
            {fmt::format("Appeal {} about {}.", appeal.id.value, station_name(document, appeal.station)),
             fmt::format("Lodged {} by {}{}.{}{}", day_and_time(appeal.lodged_at), by,
                         meet::capacity_words(appeal.capacity), point, status_words(entry))});
    }
    return out;
}

std::vector<std::string> signers(const RulingDocument& document) {
    std::vector<std::string> out;
    for (const AppealEntry& entry : document.appeals) {
        if (!entry.decision) continue;
        for (const meet::Signature& signature : entry.decision->signatures) {
            const std::string words = signed_by(signature);
            if (std::find(out.begin(), out.end(), words) == out.end()) out.push_back(words);
        }
    }
    return out;
}

std::vector<std::string> foot_sentences(const RulingDocument& document) {
    std::vector<std::string> out{fmt::format("Course book {}, revision {}{}.", isolated(document.book.name),
                                             isolated(document.book.revision),
                                             course_part(document, isolated))};
    for (const ClipEntry& clip : document.clips) {
        out.push_back(
            fmt::format("Clip {}: {}{}, {}, fingerprint {}{}.", isolated(clip.name), isolated(clip.file),
                        clip.video_stream > 0 ? fmt::format(", video stream {}", clip.video_stream + 1) : "",
                        base::counted(clip.frame_count, "frame"), plain(clip.fingerprint),
                        clip.sha256.empty() ? "" : ", SHA-256 of the whole file " + plain(clip.sha256)));
        const std::string times = clip_times_sentences(clip);
        if (!times.empty()) out.push_back(times);
    }
    out.push_back(
        fmt::format("Clock drift allowed: {} parts per million. Frames count from 0. Program version {}.",
                    document.settings.drift_parts_per_million, plain(document.program_version)));
    return out;
}

}  // namespace plumbmark::report
