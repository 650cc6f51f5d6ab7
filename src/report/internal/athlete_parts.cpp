#include "report/internal/athlete_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <iterator>
#include <set>

#include "base/worded.h"
#include "report/internal/plain.h"
#include "report/internal/words.h"

namespace plumbmark::report {
namespace {

using base::Sentence;
using base::worded;
using study::Told;

Sentence joined(const std::vector<Sentence>& all, const char* between) {
    std::string english, spoken;
    for (const Sentence& one : all) {
        english += (english.empty() ? "" : between) + one.english();
        spoken += (spoken.empty() ? "" : between) + one.spoken();
    }
    return {english, spoken};
}

Sentence plain_sentence(const Sentence& sentence) {
    return {plain(sentence.english()), plain(sentence.spoken())};
}

/// A sentence of the engine, with its full stop.
Sentence whole(const Sentence& sentence) {
    return {full_stop(plain(sentence.english())), full_stop(plain(sentence.spoken()))};
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

const LaidOpen& run_of(const AthletePage& page) {
    return *page.figures.runs.front();
}

/// The best, or the median, of one run is that run.
bool is_one_run(const Reference& reference) {
    return reference.kind != Reference::Kind::own_best && reference.runs.size() == 1;
}

bool same_run(const RunName& a, const RunName& b) {
    return a.file == b.file && a.label == b.label && a.number == b.number;
}

Sentence reference_words(const Reference& reference) {
    if (is_one_run(reference)) return run_words(reference.runs.front());
    const Sentence group = plain_sentence(reference.group);
    if (reference.kind == Reference::Kind::group_median) return worded("the median of {}", group);
    return worded("the best of {}", group);
}

/// Each figure by itself, in the order in which they were.
template <class Things, class Says>
void add_fact(std::vector<PageFact>& facts, Sentence title, const Things& things, const Says& says) {
    std::vector<Sentence> all;
    for (const auto& thing : things)
        if (auto one = says(thing); !one.empty()) all.push_back(std::move(one));
    if (!all.empty()) facts.push_back({std::move(title), {joined(all, "; ")}});
}

/// What is gripped, hung from, flown and rested on in a station; in none where it is not valid.
void add_contacts(std::vector<PageFact>& facts, const LaidOpen& run, course::StationId station) {
    const study::RunFigures& figures = run.run.figures;
    add_fact(facts, worded("grips"), figures.grips, [&](const study::Grip& grip) {
        if (grip.station != station) return Sentence();
        return worded("{} on {} {}", part_of(grip.part), surface_words(*run.book, grip.surface),
                      full(grip.time));
    });
    const auto stretch = [&](const study::Stretch& one) {
        if (one.station != station) return Sentence();
        return worded("{} from '{}'", full(one.time), event_of(run, one.from));
    };
    add_fact(facts, worded("hangs"), figures.hangs, stretch);
    add_fact(facts, worded("flights"), figures.flights, stretch);
    add_fact(facts, worded("rests"), figures.rests, [&](const study::Rest& rest) {
        if (rest.stretch.station != station) return Sentence();
        return worded("{} {}", surface_words(*run.book, rest.surface), full(rest.stretch.time));
    });
}

void add_rhythm(std::vector<PageFact>& facts, const study::StationFigures& station) {
    const auto beat = [](const study::Beat& one) { return full(one.time); };
    add_fact(facts, worded("rhythm of the hands"), station.hands, beat);
    add_fact(facts, worded("rhythm of the feet"), station.feet, beat);
    add_fact(facts, worded("touches"), station.touches, [](const study::TouchCount& count) {
        const bool some = count.low > 0 || !count.high || *count.high > 0;
        return some ? worded("{} {}", part_of(count.part), count_words(count)) : Sentence();
    });
}

void add_times(std::vector<PageFact>& facts, const AthletePage& page, std::size_t k) {
    const study::StationFigures& figures = run_of(page).run.figures.stations[k];
    if (!figures.time.low) {
        facts.push_back({worded("time"), {worded("none: nothing that fits the frames clears it")}});
        return;
    }
    facts.push_back({worded("time"), {full(figures.time)}});
    if (figures.from_start.low)
        facts.push_back({worded("from the start signal"), {length_words(figures.from_start)}});
    for (const Reference& reference : page.figures.references) {
        if (k >= reference.losses.size()) continue;
        const study::StationLoss& loss = reference.losses[k];
        const Sentence against = worded("against {}", reference_words(reference));
        if (loss.compared == 0)
            facts.push_back({against, {worded("none of them has a time here")}});
        else
            facts.push_back({against, {worded("{}; theirs {}", lost_of(loss.lost), full(loss.theirs))}});
    }
}

const ruling::StationRuling* ruling_of(const AthletePage& page, std::size_t k) {
    for (const ruling::StationRuling& station : page.ruling.ruling.stations)
        if (station.station.value == static_cast<std::int64_t>(k)) return &station;
    return nullptr;
}

/// A station and what was lost there.
struct Lost {
    std::string station;
    study::Difference lost;
};

std::int64_t size_of(const study::Difference& lost) {
    const auto middle = lost.middle();
    const auto end = lost.low ? lost.low : lost.high;
    return middle ? std::abs(middle->ns) : end ? std::abs(end->ns) : 0;
}

Sentence names_of(const std::vector<Lost>& all) {
    std::vector<Sentence> names;
    for (const Lost& one : all)
        names.emplace_back(one.station);
    return base::listed_words(names);
}

std::vector<Sentence> where_lost(const std::vector<Lost>& all) {
    std::vector<Lost> told, alike, not_known;
    for (const Lost& one : all) {
        const Told how = one.lost.told();
        auto& to = how == Told::longer || how == Told::shorter ? told
                   : how == Told::no_difference                ? alike
                                                               : not_known;
        to.push_back(one);
    }
    std::stable_sort(told.begin(), told.end(),
                     [](const Lost& a, const Lost& b) { return size_of(a.lost) > size_of(b.lost); });
    std::vector<Sentence> out;
    for (const Lost& one : told)
        out.push_back(worded("{}: {}", one.station, lost_of(one.lost)));
    if (!alike.empty())
        out.push_back(worded("no difference that these frames can show: {}", names_of(alike)));
    if (!not_known.empty()) out.push_back(worded("not known: {}", names_of(not_known)));
    return out;
}

Sentence others_of(const Reference& reference) {
    std::vector<Sentence> names;
    for (const RunName& name : reference.runs)
        names.push_back(run_words(name));
    return joined(names, "; ");
}

/// Between which two events most was lost, and most won.
std::vector<Sentence> most_grown(const CompareDocument& beside) {
    const std::vector<study::CurvePoint>& curve = beside.two->curve;
    const LaidOpen& mine = *beside.runs.front();
    std::vector<Sentence> out;
    for (const Told way : {Told::longer, Told::shorter}) {
        std::size_t most = 0;
        for (std::size_t i = 1; i < curve.size(); ++i) {
            if (curve[i].grew.told() == way &&
                (most == 0 || size_of(curve[i].grew) > size_of(curve[most].grew)))
                most = i;
        }
        if (most == 0) continue;
        const std::string from = event_of(mine, curve[most - 1].event.a),
                          to = event_of(mine, curve[most].event.a);
        const Sentence how_much = lost_of(curve[most].grew);
        out.push_back(way == Told::longer
                          ? worded("most was lost between '{}' and '{}': {}", from, to, how_much)
                          : worded("most was won between '{}' and '{}': {}", from, to, how_much));
    }
    return out;
}

std::string station_name(const CompareDocument& beside, std::size_t point) {
    const std::string& key = beside.two->stations_of_curve[point];
    const course::StationId id = beside.runs.front()->book->find_station(key);
    return id.valid() ? plain(beside.runs.front()->book->station(id).name) : plain(key);
}

}  // namespace

Sentence page_title(const AthletePage& page) {
    return run_words(run_of(page).name);
}

std::vector<PageStation> page_stations(const AthletePage& page) {
    const LaidOpen& run = run_of(page);
    std::vector<PageStation> out;
    for (std::size_t k = 0; k < run.book->stations.size(); ++k) {
        PageStation station;
        station.number = k + 1;
        station.name = plain(run.book->stations[k].name);
        const study::StationFigures& figures = run.run.figures.stations[k];
        station.verdict = figures.verdict;
        const Sentence verdict = base::looked_up_word(ruling::verdict_words(figures.verdict));
        station.verdict_words = figures.if_reached ? worded("{} if reached", verdict) : verdict;
        if (const auto* ruled = ruling_of(page, k); ruled && !ruled->sentence.empty())
            station.because = whole(ruled->sentence);
        add_times(station.facts, page, k);
        add_rhythm(station.facts, figures);
        add_contacts(station.facts, run, figures.station);
        out.push_back(std::move(station));
    }
    return out;
}

std::vector<PageFact> page_between(const AthletePage& page) {
    std::vector<PageFact> facts;
    add_contacts(facts, run_of(page), {});
    return facts;
}

std::vector<PageFact> page_losses(const AthletePage& page) {
    std::vector<PageFact> out;
    // What is said beside a run anyway is not said of a group of that run alone.
    const auto said_beside = [&page](const Reference& reference) {
        return is_one_run(reference) &&
               std::any_of(page.beside.begin(), page.beside.end(), [&](const CompareDocument& beside) {
                   return same_run(beside.runs.back()->name, reference.runs.front());
               });
    };
    for (const Reference& reference : page.figures.references) {
        if (said_beside(reference)) continue;
        std::vector<Lost> all;
        for (std::size_t k = 0; k < reference.losses.size() && k < reference.stations.size(); ++k)
            all.push_back({plain(reference.stations[k].name), reference.losses[k].lost});
        out.push_back(
            {worded("Against {} ({})", reference_words(reference), others_of(reference)), where_lost(all)});
    }
    for (const CompareDocument& beside : page.beside) {
        std::vector<Lost> all;
        for (const StationPair& pair : beside.two->stations)
            if (pair.a && pair.b) all.push_back({plain(pair.name), pair.lost});
        PageFact fact{worded("Against {}", run_words(beside.runs.back()->name)), where_lost(all)};
        for (Sentence& most : most_grown(beside))
            fact.says.push_back(std::move(most));
        out.push_back(std::move(fact));
    }
    return out;
}

std::vector<Sentence> page_remarks(const AthletePage& page) {
    std::vector<Sentence> out;
    std::set<std::string> said;
    const auto add = [&](const Sentence& one) {
        Sentence sentence = whole(one);
        if (said.insert(sentence.english()).second) out.push_back(std::move(sentence));
    };
    for (const Sentence& note : run_of(page).notes)
        add(note);
    for (const Sentence& note : page.figures.notes)
        add(note);
    for (const CompareDocument& beside : page.beside) {
        for (const Sentence& note : beside.runs.back()->notes)
            add(note);
        for (const Sentence& note : beside.notes)
            add(note);
    }
    return out;
}

std::string note_where(const PageNote& note) {
    return fmt::format("{}, f {}, {}", plain(note.clip), note.frame, base::clock_text(note.at));
}

TimesPlot times_plot(const CompareDocument& figures) {
    const LaidOpen& run = *figures.runs.front();
    TimesPlot plot;
    plot.mine = run.name.label;
    for (const Reference& reference : figures.references)
        plot.others.push_back(reference_words(reference).english());
    for (std::size_t k = 0; k < run.book->stations.size(); ++k) {
        TimesPlot::Row row{run.book->stations[k].name, run.run.figures.stations[k].time, {}};
        for (const Reference& reference : figures.references)
            row.others.push_back(k < reference.losses.size() ? reference.losses[k].theirs : study::Length{});
        plot.rows.push_back(std::move(row));
    }
    return plot;
}

RhythmPlot rhythm_plot(const CompareDocument& figures) {
    const LaidOpen& run = *figures.runs.front();
    RhythmPlot plot;
    for (std::size_t k = 0; k < run.book->stations.size(); ++k) {
        const std::string& name = run.book->stations[k].name;
        for (const study::Beat& beat : run.run.figures.stations[k].hands)
            plot.hands.push_back({name, beat.time});
        for (const study::Beat& beat : run.run.figures.stations[k].feet)
            plot.feet.push_back({name, beat.time});
    }
    return plot;
}

PageSplit page_split(const CompareDocument& beside) {
    const LaidOpen &mine = *beside.runs.front(), &other = *beside.runs.back();
    PageSplit split;
    split.plot.a = mine.name.label;
    split.plot.b = other.name.label;
    if (split.plot.a == split.plot.b && !other.name.number.empty())
        split.plot.b += " of number " + other.name.number;
    if (!beside.two->anchor) {
        split.title = worded("Along the course against {}: no event in common", run_words(other.name));
        return split;
    }
    split.plot.anchor = beside.two->anchor->says.english();
    split.title = worded("Along the course against {}, laid over each other at {}", run_words(other.name),
                         plain_sentence(beside.two->anchor->says));
    for (std::size_t i = 0; i < beside.two->curve.size(); ++i) {
        const study::CurvePoint& point = beside.two->curve[i];
        split.plot.points.push_back({station_name(beside, i), point.behind});
        const Sentence event = event_of(mine, point.event.a);
        // What did not change since the event before, as far as these frames can show, needs no words.
        const Told grew = point.grew.told();
        const bool changed = i > 0 && (grew == Told::longer || grew == Told::shorter);
        split.events.push_back(changed ? worded("{}: {}; since the one before {}", event,
                                                lost_of(point.behind), study::lost_words(point.grew))
                                       : worded("{}: {}", event, lost_of(point.behind)));
    }
    return split;
}

}  // namespace plumbmark::report
