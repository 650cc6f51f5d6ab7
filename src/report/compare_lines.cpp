// Two runs side by side, or one against the best of others, in sentences.
#include <algorithm>
#include <utility>

#include "base/worded.h"
#include "report/compare_document.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;
using study::Told;

Sentence verdict_of(const study::StationFigures& station) {
    const Sentence verdict = base::looked_up_word(ruling::verdict_words(station.verdict));
    return station.if_reached ? worded("{} if reached", verdict) : verdict;
}

Sentence part_of(course::Part part) {
    return base::looked_up_word(std::string(course::part_words(part)).c_str());
}

Sentence full(const study::Length& length) {
    return with_doubts(length_words(length), length.doubt);
}

Sentence lost_of(const study::Difference& lost) {
    return with_doubts(study::lost_words(lost), lost.doubt);
}

Sentence semicolons(const std::vector<Sentence>& all) {
    std::string english, spoken;
    for (const Sentence& one : all) {
        english += (english.empty() ? "" : "; ") + one.english();
        spoken += (spoken.empty() ? "" : "; ") + one.spoken();
    }
    return {english, spoken};
}

/// What a station shows of one run, a line for each kind of figure.
class Figures {
  public:
    Figures(const LaidOpen& run, course::StationId station, std::vector<StudyLine>& lines, int depth)
        : run_(run), figures_(run.run.figures), station_(station), lines_(lines), depth_(depth) {}

    void of_station(const study::StationFigures& station) {
        rhythm(worded("rhythm of the hands: {}", beats(station.hands)), station.hands);
        rhythm(worded("rhythm of the feet: {}", beats(station.feet)), station.feet);
        touches(station);
        contacts();
    }
    void contacts() {
        std::vector<Sentence> grips, rests;
        for (const study::Grip& grip : figures_.grips) {
            if (grip.station == station_)
                grips.push_back(worded("{} on {} {}", part_of(grip.part),
                                       surface_words(*run_.book, grip.surface), full(grip.time)));
        }
        for (const study::Rest& rest : figures_.rests) {
            if (rest.stretch.station == station_)
                rests.push_back(
                    worded("{} {}", surface_words(*run_.book, rest.surface), full(rest.stretch.time)));
        }
        if (!grips.empty()) add(worded("grips: {}", semicolons(grips)));
        stretches(worded("hangs: {}", listed(figures_.hangs)), figures_.hangs);
        stretches(worded("flights: {}", listed(figures_.flights)), figures_.flights);
        if (!rests.empty()) add(worded("rests: {}", semicolons(rests)));
    }
    [[nodiscard]] bool any() const { return any_; }

  private:
    void add(Sentence text) {
        lines_.push_back({depth_, std::move(text)});
        any_ = true;
    }
    static Sentence beats(const std::vector<study::Beat>& beats) {
        std::vector<Sentence> all;
        for (const study::Beat& beat : beats)
            all.push_back(full(beat.time));
        return semicolons(all);
    }
    void rhythm(Sentence text, const std::vector<study::Beat>& beats) {
        if (!beats.empty()) add(std::move(text));
    }
    void touches(const study::StationFigures& station) {
        std::vector<Sentence> all;
        for (const study::TouchCount& count : station.touches) {
            if (count.low > 0 || !count.high || *count.high > 0)
                all.push_back(worded("{} {}", part_of(count.part), count_words(count)));
        }
        if (!all.empty()) add(worded("touches: {}", semicolons(all)));
    }
    Sentence listed(const std::vector<study::Stretch>& stretches) const {
        std::vector<Sentence> all;
        for (const study::Stretch& stretch : stretches) {
            if (stretch.station == station_)
                all.push_back(worded("{} from '{}'", full(stretch.time), event_of(run_, stretch.from)));
        }
        return semicolons(all);
    }
    void stretches(Sentence text, const std::vector<study::Stretch>& all) {
        const bool some = std::any_of(all.begin(), all.end(),
                                      [&](const auto& stretch) { return stretch.station == station_; });
        if (some) add(std::move(text));
    }

    const LaidOpen& run_;
    const study::RunFigures& figures_;
    course::StationId station_;
    std::vector<StudyLine>& lines_;
    int depth_;
    bool any_ = false;
};

class Writing {
  public:
    explicit Writing(const CompareDocument& document) : document_(document) {}

    std::vector<StudyLine> all() {
        heading();
        if (document_.two) {
            lost_where();
            gap();
            for (std::size_t i = 0; i < document_.two->stations.size(); ++i)
                pair(i);
        } else {
            for (std::size_t k = 0; k < run(0).book->stations.size(); ++k)
                alone(k);
        }
        outside();
        if (document_.two) curve();
        for (const Sentence& note : document_.notes)
            add(0, note);
        return std::move(lines_);
    }

  private:
    void add(int depth, Sentence text) { lines_.push_back({depth, std::move(text)}); }
    void gap() { add(0, {}); }
    [[nodiscard]] const LaidOpen& run(std::size_t i) const { return *document_.runs[i]; }
    [[nodiscard]] std::string letter(std::size_t i) const { return i == 0 ? "A" : "B"; }

    void heading() {
        for (std::size_t i = 0; i < document_.runs.size(); ++i) {
            const LaidOpen& open = run(i);
            const Sentence who = run_words(open.name);
            const std::string meet = plain(open.name.meet);
            if (document_.two)
                add(0, worded("{}: {}; {}, {}", letter(i), who, meet, plain(open.name.date)));
            else
                add(0, worded("{}; {}, {}", who, meet, plain(open.name.date)));
            for (const Sentence& note : open.notes)
                add(1, {plain(note.english()), plain(note.spoken())});
        }
        for (const Reference& reference : document_.references)
            add(0, worded("Held against {}: {}", of_reference(reference), runs_of(reference)));
        add(0, worded("Every length is given by the least and the most that the frames allow."));
        gap();
    }
    static Sentence of_reference(const Reference& reference) {
        const Sentence group{plain(reference.group.english()), plain(reference.group.spoken())};
        if (reference.kind == Reference::Kind::group_median) return worded("the median of {}", group);
        return worded("the best of {}", group);
    }
    static Sentence runs_of(const Reference& reference) {
        std::vector<Sentence> all;
        for (const RunName& name : reference.runs)
            all.push_back(run_words(name));
        return semicolons(all);
    }

    void lost_where() {
        std::vector<const StationPair*> told;
        for (const StationPair& station : document_.two->stations) {
            const Told how = station.lost.told();
            if (how == Told::longer || how == Told::shorter) told.push_back(&station);
        }
        std::stable_sort(told.begin(), told.end(), [](const auto* a, const auto* b) {
            const auto size = [](const StationPair* one) {
                const auto middle = one->lost.middle();
                return middle ? std::abs(middle->ns) : -1;
            };
            return size(a) > size(b);
        });
        if (told.empty()) {
            add(0, worded("At no station do these frames show a difference between A and B."));
            return;
        }
        add(0, worded("Where A lost and won against B, the largest first:"));
        for (const StationPair* station : told)
            add(1, worded("{}: {}", plain(station->name), lost_of(station->lost)));
    }

    void side(const Sentence& who, const LaidOpen& open, std::size_t k) {
        const study::StationFigures& figures = open.run.figures.stations[k];
        if (figures.time.low)
            add(1, worded("{}{}: {}; from the start signal {}", who, verdict_of(figures), full(figures.time),
                          length_words(figures.from_start)));
        else
            add(1, worded("{}{}: no time, since it is cleared in no world", who, verdict_of(figures)));
        Figures(open, figures.station, lines_, 2).of_station(figures);
    }
    void pair(std::size_t i) {
        const StationPair& station = document_.two->stations[i];
        add(0, worded("{}. {}", std::int64_t(i) + 1, plain(station.name)));
        const std::optional<std::size_t> places[] = {station.a, station.b};
        for (std::size_t side_of = 0; side_of < 2; ++side_of) {
            const Sentence who{letter(side_of) + ", "};
            if (places[side_of])
                side(who, run(side_of), *places[side_of]);
            else
                add(1, worded("{}no such station on its course", who));
        }
        if (station.a && station.b) add(1, worded("A against B: {}", lost_of(station.lost)));
        gap();
    }
    void alone(std::size_t k) {
        const LaidOpen& open = run(0);
        add(0, worded("{}. {}", std::int64_t(k) + 1, plain(open.book->stations[k].name)));
        side({}, open, k);
        for (const Reference& reference : document_.references) {
            if (k >= reference.losses.size()) continue;
            const study::StationLoss& loss = reference.losses[k];
            if (loss.compared == 0)
                add(1, worded("against {}: none of them has a time here", of_reference(reference)));
            else
                add(1,
                    base::worded_n("{} run, {}: {}; {}", "{} runs, {}: {}; {}", loss.compared,
                                   of_reference(reference), length_words(loss.theirs), lost_of(loss.lost)));
        }
        gap();
    }
    void outside() {
        for (std::size_t i = 0; i < document_.runs.size(); ++i) {
            std::vector<StudyLine> more;
            Figures between(run(i), {}, more, 1);
            between.contacts();
            if (!between.any()) continue;
            add(0, document_.two ? worded("{}, between the stations and after the last", letter(i))
                                 : worded("Between the stations and after the last"));
            lines_.insert(lines_.end(), more.begin(), more.end());
            gap();
        }
    }

    void curve() {
        const TwoRuns& two = *document_.two;
        if (!two.anchor) return;
        add(0, worded("Along the course, laid over each other at {}; in all, and, where it differs, since "
                      "the line before:",
                      two.anchor->says));
        for (std::size_t i = 0; i < two.curve.size(); ++i) {
            const study::CurvePoint& point = two.curve[i];
            const Sentence grew =
                point.grew.doubt == point.behind.doubt ? study::lost_words(point.grew) : lost_of(point.grew);
            const Sentence behind = lost_of(point.behind);
            const std::string event = event_of(run(0), point.event.a);
            add(1,
                grew == behind ? worded("{}: {}", event, behind) : worded("{}: {}; {}", event, behind, grew));
        }
        const auto most =
            std::max_element(two.curve.begin(), two.curve.end(), [](const auto& x, const auto& y) {
                const auto size = [](const study::CurvePoint& p) {
                    return p.grew.told() == Told::longer && p.grew.low ? p.grew.low->ns : 0;
                };
                return size(x) < size(y);
            });
        if (most != two.curve.end() && most->grew.told() == Told::longer && most != two.curve.begin())
            add(0,
                worded("Most was lost between '{}' and '{}': {}.", event_of(run(0), std::prev(most)->event.a),
                       event_of(run(0), most->event.a), study::lost_words(most->grew)));
    }

    const CompareDocument& document_;
    std::vector<StudyLine> lines_;
};

}  // namespace

std::vector<StudyLine> compare_lines(const CompareDocument& document) {
    return Writing(document).all();
}

std::string compare_text(const CompareDocument& document) {
    return study_text(compare_lines(document));
}

}  // namespace plumbmark::report
