// What 'plumbmark trials' says on a terminal.
#include <fmt/chrono.h>
#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/trials.h"

namespace plumbmark::cli {
namespace {

using study::Standing;

const char* standing_words(Standing standing) {
    switch (standing) {
        case Standing::never_released:
            return "NEVER RELEASED";
        case Standing::changed:
            return "CHANGED SINCE PROVEN";
        case Standing::open:
            return "OPEN";
        case Standing::proven:
            return "PROVEN";
    }
    return "";
}

std::string day_words(std::int64_t ms) {
    constexpr std::int64_t kMilliseconds = 1000;
    return fmt::format("{:%Y-%m-%d %H:%M} UTC", fmt::gmtime(static_cast<std::time_t>(ms / kMilliseconds)));
}

std::string tally_words(const study::Tally& tally) {
    if (tally.tried == 0) return "never tried";
    return fmt::format("tried {}: {} cleared, {} failed, {} not shown{}", tally.tried, tally.cleared,
                       tally.failed, tally.not_shown,
                       tally.by_eye > 0 ? fmt::format(" ({} by eye)", tally.by_eye) : std::string());
}

std::string range_words(const study::Interval& interval) {
    return fmt::format("{:.3f} to {:.3f}", interval.low, interval.high);
}

std::string measured_words(const study::Interval& interval) {
    return interval.width() > 0 ? fmt::format("{:.2f} to {:.2f} m", interval.low, interval.high)
                                : fmt::format("{:.2f} m", interval.low);
}

class Text {
  public:
    explicit Text(const TrialsTold& told) : told_(told) {}

    std::string made() {
        put("{}, course book {}, revision {}", told_.book.meet_name, told_.book.book_name,
            told_.book.book_revision);
        put("{}", study::release_notice().english());
        for (const review::StationInBook& station : told_.book.stations)
            put_station(station);
        for (const std::string& key : told_.book.unknown_stations)
            put("\nThe course book has no station '{}' (any more); what was entered for it is kept.", key);
        return std::move(out_);
    }

  private:
    template <class... Args>
    void put(fmt::format_string<Args...> pattern, Args&&... args) {
        out_ += fmt::format(pattern, std::forward<Args>(args)...) + "\n";
    }

    void put_station(const review::StationInBook& station) {
        const study::StationReport& report = station.report;
        put("\n{} ({}): {}", report.name, report.key, standing_words(report.release.standing));
        put_release(report);
        put("   definition {}; rig {}", report.definition,
            report.rig ? std::to_string(report.rig->id.value) : "not written down yet");
        put("   {}", tally_words(report.all));
        if (report.set_aside.tried > 0)
            put("   set aside, of another definition or rig: {}", tally_words(report.set_aside));
        put_rate(report);
        put_ways(report);
        put_questions(report);
        put_steps(station);
    }

    void put_release(const study::StationReport& report) {
        const auto& release = report.release.release;
        if (!release) return;
        put("   released by {} on {}, rig {}{}", release->tester, day_words(release->signed_at_ms),
            release->rig.value, release->note.empty() ? "" : ": " + release->note);
        for (const base::Sentence& change : report.release.changes)
            put("      {}", change.english());
    }

    [[nodiscard]] const study::Interval& interval(const study::Rate& rate) const {
        return told_.wish.method == study::Method::wilson ? rate.wilson : rate.clopper_pearson;
    }
    [[nodiscard]] std::string rate_words(const study::Rate& rate) const {
        if (!rate.known()) return "rate not known";
        return fmt::format("{} of {} cleared, {:.3f}, {:g} % within {} ({})", rate.count.happened,
                           rate.count.trials, *rate.share, rate.confidence * kHundred,
                           range_words(interval(rate)),
                           told_.wish.method == study::Method::wilson ? "Wilson" : "Clopper-Pearson");
    }
    void put_rate(const study::StationReport& report) {
        put("   {}", rate_words(report.rate));
        put_outlook("if all of them are cleared", report.if_all_clear);
        put_outlook("if it goes on as so far", report.as_so_far);
        for (const study::GroupLine& group : report.groups)
            put("      {}: {}", group.name.english(), rate_words(group.rate));
    }
    void put_outlook(const char* how, const std::optional<study::FurtherTrials>& outlook) {
        if (!outlook) return;
        using Found = study::FurtherTrials::Found;
        const double bound = *told_.wish.bound;
        if (outlook->found == Found::yes)
            put("      at least {:g}: {} more, {} (then {} of {}, {})", bound,
                base::counted(outlook->further, "trial"), how, outlook->then.happened, outlook->then.trials,
                range_words(outlook->interval));
        else if (outlook->found == Found::none_within_limit)
            put("      at least {:g}: not within {} more, {}", bound, base::counted(outlook->limit, "trial"),
                how);
        else
            put("      at least {:g}: nothing to go on yet, {}", bound, how);
    }

    void put_ways(const study::StationReport& report) {
        const study::Ways& ways = report.ways;
        const std::string count = (ways.counted ? "" : "more than ") + base::counted(ways.count, "way");
        if (ways.every)
            put("   {}:", count);
        else
            put("   {}; each two choices that go together are together in one of these {}:", count,
                ways.ways.size());
        for (const study::WayLine& line : report.lines)
            put("      {}: {}{}", way_words(line.way), tally_words(line.tally),
                line.unproven ? "; unproven" : "");
        if (report.elsewhere.tried > 0)
            put("      none of these ways, or nobody knows which: {}", tally_words(report.elsewhere));
        for (const study::ClauseLine& line : report.clauses)
            put("      clause {}: kept {}, broken {}, not shown {}", ruling::clause_key(line.clause),
                line.kept, line.broken, line.not_shown);
    }
    static std::string way_words(const study::Way& way) {
        std::string words = way.start + " to " + (way.landing.empty() ? "the planes" : way.landing);
        return way.items.empty() ? words : words + " by " + base::listed(way.items);
    }

    void put_questions(const study::StationReport& report) {
        const std::size_t open = report.open().size();
        put("   {}:",
            open == 0 ? "nothing is open" : base::counted(static_cast<std::int64_t>(open), "open question"));
        for (const study::Question& question : report.questions) {
            put("      [{}] {}: {}{}", question.closed ? "closed" : "open", question.key,
                question.sentence.english(), where_words(question));
            if (question.closed) put("         {}", *question.closed);
            if (!question.closed && question.closed_before)
                put("         closed for an earlier definition: {}", *question.closed_before);
        }
    }
    [[nodiscard]] std::string where_words(const study::Question& question) const {
        std::string words;
        const auto run = told_.state.runs().find(question.run);
        if (run != told_.state.runs().end()) words = run->second.label;
        if (question.still) {
            const auto clip = told_.state.clips().find(question.still->clip);
            const std::string name = clip == told_.state.clips().end() ? "" : clip->second.name + ", ";
            words += fmt::format("{}{}f {}", words.empty() ? "" : ", ", name, question.still->frame.number);
        }
        return words.empty() ? words : " (" + words + ")";
    }

    void put_steps(const review::StationInBook& station) {
        put("   gaps and reaches. {}", study::guide_notice().english());
        for (const study::CourseStep& step : station.steps) {
            put("      {}", step_words(step));
            for (const study::PeopleFigure& figure : step.figures)
                put("         {}{}", figure.no_table() ? "no table: " : "", figure.sentence.english());
        }
        if (!told_.people_asked)
            put("      An age is told with --age, or by a division of the meet with its years of birth.");
    }
    static std::string step_words(const study::CourseStep& step) {
        const std::string name =
            fmt::format("{} from {} to {}", study::step_kind_key(step.kind), step.from, step.to);
        if (!step.gap) return name + ": the plan does not say where both are";
        std::string words = fmt::format("{}: {} apart", name, measured_words(*step.gap));
        if (step.kind == study::StepKind::reach)
            words += ", " + measured_words(*step.height) + " over what is stood on";
        else
            words += fmt::format(", {:+.2f} m in height", step.height->low + step.height->width() / 2);
        return step.tolerance_known ? words : words + " (no tolerance is stated)";
    }

    static constexpr double kHundred = 100;
    const TrialsTold& told_;
    std::string out_;
};

}  // namespace

std::string told_as_text(const TrialsTold& told) {
    return Text(told).made();
}

}  // namespace plumbmark::cli
