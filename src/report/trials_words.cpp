// What stands of a trial, a way, a rate or a rig in a line: the same in a terminal, on the desk and on paper.
#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>

#include "base/worded.h"
#include "report/internal/plain.h"
#include "report/trials_document.h"

namespace plumbmark::report {

using base::Sentence;
using base::worded;
using base::worded_n;

namespace {

constexpr double kHundred = 100, kMillimetresOfMetre = 1000;

Sentence range_words(const study::Interval& interval) {
    return worded("{} to {}", fmt::format("{:.3f}", interval.low), fmt::format("{:.3f}", interval.high));
}

Sentence measured_words(const study::Interval& interval) {
    return interval.width() > 0 ? worded("{} to {} m", fmt::format("{:.2f}", interval.low),
                                         fmt::format("{:.2f}", interval.high))
                                : worded("{} m", fmt::format("{:.2f}", interval.low));
}

std::string named(const std::string& key, const SurfaceNames& names) {
    const auto known = names.find(key);
    return plain(known == names.end() ? key : known->second);
}

const char* method_words(study::Method method) {
    return method == study::Method::wilson ? "Wilson" : "Clopper-Pearson";
}

Sentence outlook_line(const study::FurtherTrials& outlook, double wanted, const Sentence& how) {
    using Found = study::FurtherTrials::Found;
    const std::string bound = fmt::format("{:g}", wanted);
    switch (outlook.found) {
        case Found::yes:
            return worded("at least {}: {} more, {} (then {} of {}, {})", bound,
                          worded_n("{} trial", "{} trials", outlook.further), how, outlook.then.happened,
                          outlook.then.trials, range_words(outlook.interval));
        case Found::none_within_limit:
            return worded("at least {}: not within {} more, {}", bound,
                          worded_n("{} trial", "{} trials", outlook.limit), how);
        case Found::nothing_to_go_on:
            break;
    }
    return worded("at least {}: nothing to go on yet, {}", bound, how);
}

}  // namespace

Sentence standing_words(study::Standing standing) {
    switch (standing) {
        case study::Standing::never_released:
            return worded("NEVER RELEASED");
        case study::Standing::changed:
            return worded("CHANGED SINCE PROVEN");
        case study::Standing::open:
            return worded("OPEN");
        case study::Standing::proven:
            break;
    }
    return worded("PROVEN");
}

Sentence tally_words(const study::Tally& tally) {
    if (tally.tried == 0) return worded("never tried");
    if (tally.by_eye > 0)
        return worded("tried {}: {} cleared, {} failed, {} not shown ({} by eye)", tally.tried, tally.cleared,
                      tally.failed, tally.not_shown, tally.by_eye);
    return worded("tried {}: {} cleared, {} failed, {} not shown", tally.tried, tally.cleared, tally.failed,
                  tally.not_shown);
}

Sentence trial_rate_words(const study::Rate& rate, study::Method method) {
    if (!rate.known()) return worded("rate not known");
    const study::Interval& interval = method == study::Method::wilson ? rate.wilson : rate.clopper_pearson;
    return worded("{} of {} cleared, {}, {} % within {} ({})", rate.count.happened, rate.count.trials,
                  fmt::format("{:.3f}", *rate.share), fmt::format("{:g}", rate.confidence * kHundred),
                  range_words(interval), method_words(method));
}

std::vector<Sentence> outlook_words(const study::StationReport& report, const study::TrialsWish& wish) {
    std::vector<Sentence> lines;
    if (!wish.bound) return lines;
    if (report.if_all_clear)
        lines.push_back(
            outlook_line(*report.if_all_clear, *wish.bound, worded("if all of them are cleared")));
    if (report.as_so_far)
        lines.push_back(outlook_line(*report.as_so_far, *wish.bound, worded("if it goes on as so far")));
    return lines;
}

base::Result<void> set_bound(TrialsDocument& document, double bound) {
    document.wish.bound = bound;
    study::Wanted wanted;
    wanted.confidence = document.wish.confidence;
    wanted.method = document.wish.method;
    wanted.figure = bound;
    for (TrialsStation& station : document.stations) {
        const study::Count so_far = study::count_of(station.report.all);
        wanted.outlook = study::Outlook::all_happen;
        const auto all = study::further_trials(so_far, wanted);
        if (!all) return all.error();
        wanted.outlook = study::Outlook::as_so_far;
        const auto same = study::further_trials(so_far, wanted);
        if (!same) return same.error();
        station.report.if_all_clear = *all;
        station.report.as_so_far = *same;
    }
    return {};
}

WayState way_state(const study::WayLine& line) {
    if (line.tally.cleared > 0) return WayState::cleared;
    if (line.tally.failed > 0) return WayState::failed;
    if (line.tally.tried > 0) return WayState::not_shown;
    return line.unproven ? WayState::never_tried : WayState::shown_by_others;
}

Sentence way_state_words(WayState state) {
    switch (state) {
        case WayState::cleared:
            return base::worded_in("a way", "cleared");
        case WayState::failed:
            return worded("only failed");
        case WayState::not_shown:
            return worded("not shown");
        case WayState::never_tried:
            return worded("never tried");
        case WayState::shown_by_others:
            break;
    }
    return worded("shown by others");
}

Sentence landing_words(const study::Way& way, const SurfaceNames& names) {
    return way.landing.empty() ? worded("the planes") : Sentence(named(way.landing, names));
}

Sentence left_out_words(const study::Ways& ways, const study::Way& way, const SurfaceNames& names) {
    std::vector<Sentence> out;
    for (const std::string& item : ways.optional_items) {
        if (std::find(way.items.begin(), way.items.end(), item) == way.items.end())
            out.emplace_back(named(item, names));
    }
    return out.empty() ? base::worded_in("left out", "none") : base::listed_words(out);
}

Sentence ways_words(const study::Ways& ways) {
    const Sentence count = worded_n("{} way", "{} ways", ways.count);
    const Sentence all = ways.counted ? count : worded("more than {}", count);
    if (ways.every) return all;
    return worded("{}; each two choices that go together are together in one of these {}", all,
                  ways.ways.size());
}

const QuestionStill* still_of(const TrialsStation& station, const study::Question& question) {
    const auto found = std::find_if(
        station.stills.begin(), station.stills.end(),
        [&](const QuestionStill& one) { return question.still == one.still && question.mark == one.mark; });
    return found == station.stills.end() ? nullptr : &*found;
}

Sentence question_place(const TrialsDocument& document, const study::Question& question) {
    std::vector<Sentence> parts;
    if (const auto run = document.runs.find(question.run); run != document.runs.end())
        parts.emplace_back(plain(run->second));
    if (question.still) {
        const auto clip = document.clips.find(question.still->clip);
        if (clip != document.clips.end()) parts.emplace_back(plain(clip->second));
        parts.push_back(worded("f {}", question.still->frame.number));
    }
    if (parts.empty()) return {};
    Sentence place = parts.front();
    for (std::size_t i = 1; i < parts.size(); ++i)
        place = {place.english() + ", " + parts[i].english(), place.spoken() + ", " + parts[i].spoken()};
    return place;
}

Sentence step_words(const study::CourseStep& step, const SurfaceNames& names) {
    const std::string from = named(step.from, names), to = named(step.to, names);
    const Sentence name = step.kind == study::StepKind::gap     ? worded("gap from {} to {}", from, to)
                          : step.kind == study::StepKind::reach ? worded("reach from {} to {}", from, to)
                                                                : worded("swing from {} to {}", from, to);
    if (!step.gap || !step.height) return worded("{}: the plan does not say where both are", name);
    const Sentence apart = measured_words(*step.gap);
    const Sentence words =
        step.kind == study::StepKind::reach
            ? worded("{}: {} apart, {} over what is stood on", name, apart, measured_words(*step.height))
            : worded("{}: {} apart, {} m in height", name, apart,
                     fmt::format("{:+.2f}", step.height->low + step.height->width() / 2));
    return step.tolerance_known ? words : worded("{} (no tolerance is stated)", words);
}

std::vector<Sentence> step_figures(const study::CourseStep& step) {
    std::vector<Sentence> figures;
    for (const study::PeopleFigure& figure : step.figures)
        figures.push_back(figure.no_table() ? worded("no table: {}", figure.sentence) : figure.sentence);
    return figures;
}

Sentence rig_item_words(const meet::RigItem& item) {
    std::string words = plain(item.what);
    if (!item.where.empty()) words += (words.empty() ? "" : ", ") + plain(item.where);
    if (!item.height_mm) return words;
    return worded("{}, {} m high", words, fmt::format("{:.3f}", *item.height_mm / kMillimetresOfMetre));
}

std::string utc_words(std::int64_t ms) {
    constexpr std::int64_t kMilliseconds = 1000;
    return fmt::format("{:%Y-%m-%d %H:%M} UTC", fmt::gmtime(static_cast<std::time_t>(ms / kMilliseconds)));
}

Sentence release_words(const meet::Release& release) {
    const std::string who = plain(release.tester), when = utc_words(release.signed_at_ms);
    if (release.note.empty()) return worded("released by {} on {}, rig {}", who, when, release.rig.value);
    return worded("released by {} on {}, rig {}: {}", who, when, release.rig.value, plain(release.note));
}

}  // namespace plumbmark::report
