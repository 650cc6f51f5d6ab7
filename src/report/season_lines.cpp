// A season, and two reviewers' marks, in sentences.
#include <fmt/format.h>

#include <cmath>

#include "base/worded.h"
#include "report/internal/plain.h"
#include "report/season_document.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;
using base::worded_n;

Sentence error_of(const base::Error& error) {
    return {plain(error.text()), plain(error.spoken())};
}

/// A share in hundredths, an end of an interval outward.
std::string hundredths(double value) {
    return fmt::format("{:.2f}", value);
}
std::string downward(double value) {
    return hundredths(std::floor(value * 100 + 1e-9) / 100);
}
std::string upward(double value) {
    return hundredths(std::ceil(value * 100 - 1e-9) / 100);
}

Sentence ended_words(Ended ended) {
    switch (ended) {
        case Ended::cleared_all:
            return worded("every station cleared");
        case Ended::fail:
            return worded("failed");
        case Ended::not_shown:
            break;
    }
    return worded("not shown");
}

Sentence full(const study::Length& length) {
    return with_doubts(length_words(length), length.doubt);
}

Sentence of_count(const study::Count& count) {
    return worded("{} of {}", count.happened, count.trials);
}

class SeasonWriting {
  public:
    explicit SeasonWriting(const SeasonDocument& document) : document_(document) {}

    std::vector<StudyLine> all() {
        files();
        gap();
        runs();
        ends();
        for (const SeasonStation& station : document_.stations)
            of_station(station);
        notes();
        return std::move(lines_);
    }
    std::vector<StudyLine> of_runs() {
        runs();
        ends();
        notes();
        return std::move(lines_);
    }
    std::vector<StudyLine> of_one(const SeasonStation& station) {
        of_station(station);
        lines_.pop_back();
        return std::move(lines_);
    }
    Sentence of_file(const SeasonFile& file) const {
        const std::string name = plain(file.file);
        if (file.error) return worded("{}: left out. {}", name, plain_both(file.error->sentence));
        if (file.matched.empty() && asked()) return worded("{}: nobody there answers to that", name);
        if (file.matched.empty())
            return worded_n("{} run: {}, {}, {}", "{} runs: {}, {}, {}", file.runs, name, plain(file.meet),
                            plain(file.date));
        return worded_n("{} run: {}, {}, {}; number {}, {}, found {}",
                        "{} runs: {}, {}, {}; number {}, {}, found {}", file.runs, name, plain(file.meet),
                        plain(file.date), plain(file.number), plain(file.athlete), plain_both(file.matched));
    }

  private:
    void add(int depth, Sentence text) { lines_.push_back({depth, std::move(text)}); }
    void gap() { add(0, {}); }

    void files() {
        add(0, document_.athlete.empty() ? worded("Every run of these meets:")
                                         : worded("The runs of '{}':", plain(document_.athlete)));
        for (const SeasonFile& file : document_.files)
            add(1, of_file(file));
        std::int64_t unmarked = 0;
        for (const NotLaidOpen& one : document_.not_opened)
            unmarked += one.unmarked ? 1 : 0;
        if (unmarked > 0)
            add(1, worded_n("{} run has no marks yet and is not looked at",
                            "{} runs have no marks yet and are not looked at", unmarked));
        for (const NotLaidOpen& one : document_.not_opened)
            if (!one.unmarked)
                add(1, worded("{}, {}: not looked at. {}", plain(document_.files[one.file].file),
                              run_words(one.name), error_of(one.why)));
    }
    /// Whether one athlete is meant.
    [[nodiscard]] bool asked() const {
        if (!document_.athlete.empty()) return true;
        for (const SeasonFile& file : document_.files) {
            if (!file.matched.empty()) return true;
        }
        return false;
    }

    void runs() {
        for (const SeasonRun& run : document_.runs) {
            const Sentence who = worded("{}, {}", plain(run.name.date), run_words(run.name));
            const Sentence cleared = worded("{} of {} stations cleared", run.cleared, run.stations);
            const Sentence time = run.cleared > 0 ? worded(", the last at {}", full(run.time)) : Sentence{};
            if (run.ended == Ended::cleared_all)
                add(0, worded("{}: {}{}", who, cleared, time));
            else
                add(0, worded("{}: {}{}; ended at {}, {}", who, cleared, time, plain(run.station_name),
                              ended_words(run.ended)));
        }
        gap();
    }
    void ends() {
        if (document_.ends.empty()) {
            add(0, worded("There is no run to look at."));
            return;
        }
        add(0, worded("Where runs end:"));
        for (const SeasonEnd& end : document_.ends)
            add(1, end.ended == Ended::cleared_all
                       ? worded_n("{} run: {}", "{} runs: {}", end.runs, ended_words(end.ended))
                       : worded_n("{} run: {}, {}", "{} runs: {}, {}", end.runs, plain(end.name),
                                  ended_words(end.ended)));
        gap();
    }

    void notes() {
        for (const Sentence& note : document_.notes)
            add(0, note);
    }

    Sentence times_of(const BestAndMedian& times) const {
        return worded_n("{} time, best {}, median {}", "{} times, best {}, median {}", times.times,
                        full(times.best), full(times.median));
    }
    void of_station(const SeasonStation& station) {
        add(0, worded("{}: cleared {}, failed {}, not shown {}", plain(station.name), station.clear,
                      station.fail, station.not_shown));
        if (station.cleared.known())
            add(1, worded("cleared {} of those shown; by these runs the rate lies between {} and {} (Wilson, "
                          "{} %)",
                          of_count(station.cleared.count), downward(station.cleared.wilson.low),
                          upward(station.cleared.wilson.high), percent()));
        if (station.times.times > 0) add(1, times_of(station.times));
        if (document_.files.size() > 1) {
            for (const SeasonStationAt& at : station.by_file) {
                const SeasonFile& file = document_.files[at.file];
                const Sentence count = of_count(at.cleared);
                add(2, at.times.times > 0
                           ? worded("{}: cleared {}; {}", plain(file.date), count, times_of(at.times))
                           : worded("{}: cleared {}", plain(file.date), count));
            }
        }
        if (station.earlier.times > 0)
            add(1, worded("the later half of the times against the earlier: {}",
                          with_doubts(study::lost_words(station.trend), station.trend.doubt)));
        if (station.cleared_earlier.trials > 0)
            add(1, worded("cleared in the earlier half of the runs {}, in the later {}",
                          of_count(station.cleared_earlier), of_count(station.cleared_later)));
        gap();
    }
    [[nodiscard]] std::string percent() const { return fmt::format("{:g}", document_.confidence * 100); }

    const SeasonDocument& document_;
    std::vector<StudyLine> lines_;
};

Sentence kappa_words(const study::Kappa& kappa) {
    if (!kappa.kappa)
        return worded("{} rated, agreement {}; kappa is not defined, as both used one same category",
                      kappa.rated, hundredths(*kappa.agreement));
    return worded("{} rated, agreement {}, by chance {}; kappa {}, between {} and {}", kappa.rated,
                  hundredths(*kappa.agreement), hundredths(*kappa.by_chance), hundredths(*kappa.kappa),
                  downward(kappa.interval->low), upward(kappa.interval->high));
}

void write_moments(const RatersDocument& document, std::vector<StudyLine>& lines) {
    const study::MomentAgreement& moments = document.moments;
    lines.push_back(
        {0, worded("Marks of the same event, at most {} frames apart: {} pairs; {} of A alone, {} of "
                   "B alone; {} marks were left out.",
                   document.frames_apart, moments.paired, moments.only_first, moments.only_second,
                   document.left_out)});
    if (moments.paired == 0) return;
    lines.push_back({1, worded("{} of {} pairs differ by {} frames at most", moments.within, moments.paired,
                               document.tolerance)});
    lines.push_back({1, worded("B later than A by frames: median {}, mean {}", hundredths(*moments.median),
                               hundredths(*moments.mean))});
    if (moments.limits)
        lines.push_back({1, worded("standard deviation {}; 95 % of differences between {} and {} where they "
                                   "are normal, each ± {}",
                                   hundredths(*moments.standard), hundredths(moments.limits->low),
                                   hundredths(moments.limits->high), hundredths(*moments.limit_error))});
}

}  // namespace

const char* ended_key(Ended ended) {
    switch (ended) {
        case Ended::cleared_all:
            return "cleared_all";
        case Ended::fail:
            return "fail";
        case Ended::not_shown:
            break;
    }
    return "not_shown";
}

std::vector<StudyLine> season_lines(const SeasonDocument& document) {
    return SeasonWriting(document).all();
}

Sentence season_file_words(const SeasonDocument& document, const SeasonFile& file) {
    return SeasonWriting(document).of_file(file);
}

std::vector<StudyLine> season_run_lines(const SeasonDocument& document) {
    return SeasonWriting(document).of_runs();
}

std::vector<StudyLine> season_station_lines(const SeasonDocument& document, const SeasonStation& station) {
    return SeasonWriting(document).of_one(station);
}

std::string season_text(const SeasonDocument& document) {
    return study_text(season_lines(document));
}

std::vector<StudyLine> raters_lines(const RatersDocument& document) {
    std::vector<StudyLine> lines;
    const auto add = [&](int depth, Sentence text) { lines.push_back({depth, std::move(text)}); };
    add(0, worded("A: {}; {}", run_words(document.a), plain(document.a.file)));
    add(0, worded("B: {}; {}", run_words(document.b), plain(document.b.file)));
    std::vector<Sentence> clips;
    for (const std::string& clip : document.clips)
        clips.emplace_back(plain(clip));
    add(0, worded("Of the same footage: {}", base::listed_words(clips)));
    add(0, {});
    for (const RatedStation& station : document.stations) {
        const Sentence a = base::looked_up_word(ruling::verdict_words(station.a));
        const Sentence b = base::looked_up_word(ruling::verdict_words(station.b));
        add(1, station.a == station.b ? worded("{}: {} by both", plain(station.name), a)
                                      : worded("{}: {} by A, {} by B", plain(station.name), a, b));
    }
    add(0, document.verdicts ? worded("Verdicts: {}", kappa_words(*document.verdicts))
                             : worded("Verdicts: no station in common"));
    add(0, document.surfaces ? worded("Surfaces of paired contacts: {}", kappa_words(*document.surfaces))
                             : worded("Surfaces of paired contacts: no pair"));
    write_moments(document, lines);
    for (const Sentence& note : document.notes)
        add(0, note);
    return lines;
}

std::string raters_text(const RatersDocument& document) {
    return study_text(raters_lines(document));
}

}  // namespace plumbmark::report
