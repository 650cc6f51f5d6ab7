#include "oracle/compare.h"

#include <cstdio>
#include <functional>

#include "oracle/case_text.h"

namespace plumbmark::oracle {
namespace {

std::string clauses(const std::set<ruling::Clause>& all) {
    std::string text;
    for (ruling::Clause clause : all)
        text += std::string(" ") + ruling::clause_key(clause);
    return text;
}

std::string results(const std::set<ruling::RunResult>& all) {
    std::string text;
    for (const ruling::RunResult& result : all) {
        text += " " + std::to_string(result.cleared) + (result.full_clear ? " (full)" : "");
        if (result.points != 0) text += " " + std::to_string(result.points) + " p";
    }
    return text;
}

std::string station_text(ruling::Verdict verdict, bool if_reached, const std::set<ruling::Clause>& failing,
                         const std::set<std::int32_t>& points) {
    std::string text = ruling::verdict_words(verdict);
    if (if_reached) text += " if reached";
    if (verdict == ruling::Verdict::fail) text += clauses(failing);
    for (const std::int32_t each : points)
        text += (each == *points.begin() ? ", points " : " or ") + std::to_string(each);
    return text;
}

std::string difference(const Case& review, const Answer& answer, const ruling::RunRuling& ruled) {
    if (ruled.stations.size() != answer.stations.size())
        return "the engine gives another number of stations\n";
    std::string text;
    for (std::size_t i = 0; i < answer.stations.size(); ++i) {
        const ruling::StationRuling& engine = ruled.stations[i];
        const StationAnswer& oracle = answer.stations[i];
        const std::set<ruling::Clause> failing(engine.failing_clauses.begin(), engine.failing_clauses.end());
        const std::set<std::int32_t> points(engine.points.begin(), engine.points.end());
        const std::string ours =
            station_text(oracle.verdict, oracle.if_reached, oracle.failing, oracle.points);
        const std::string theirs = station_text(engine.verdict, engine.if_reached, failing, points);
        if (ours != theirs) {
            text += "  " + review.book.stations[i].key + ": oracle " + ours + ", engine " + theirs + "\n";
        }
    }
    const std::set<ruling::RunResult> theirs(ruled.results.begin(), ruled.results.end());
    if (theirs != answer.results) {
        text += "  run: oracle" + results(answer.results) + ", engine" + results(theirs) + "\n";
    }
    return text;
}

std::string judge_difference(const Case& review, const Answer& answer,
                             const base::Result<ruling::RunRuling>& ruled) {
    if (ruled.ok()) {
        if (!answer.consistent)
            return "  oracle: no world; the engine rules: " + ruled.value().sentence.english() + "\n";
        return difference(review, answer, ruled.value());
    }
    const bool contradiction = ruled.error().category == base::Category::contradiction;
    if (contradiction && !answer.consistent) return "";
    return "  the oracle finds " + std::string(answer.consistent ? "worlds" : "no world") +
           "; the engine refuses: " + ruled.error().text() + "\n";
}

using Change = std::function<void(Case&)>;

void drop_second_clip(Case& c) {
    c.evidence.clips.pop_back();
    const auto on_second = [](const auto& said) { return said.clip.value == 1; };
    for (ruling::Mark& mark : c.evidence.marks)
        std::erase_if(mark.sightings, on_second);
    std::erase_if(c.evidence.contacts, on_second);
    std::erase_if(c.evidence.spans, on_second);
}

// With a rule of the book less; 'attempt' is true when the simpler review was taken.
void each_simpler_book(const Case& from, const std::function<bool(const Change&)>& attempt) {
    if (from.book.stations.size() > 1 && attempt([](Case& c) { c.book.stations.pop_back(); })) return;
    if (!from.book.finish.name.empty() && attempt([](Case& c) { c.book.finish = {}; })) return;
    if (!from.book.brush_counts && attempt([](Case& c) { c.book.brush_counts = true; })) return;
    if (!from.book.loose_counts && attempt([](Case& c) { c.book.loose_counts = true; })) return;
    if (!from.book.at_cap_is_in_time && attempt([](Case& c) { c.book.at_cap_is_in_time = true; })) return;
    const bool points = from.book.format == course::Format::every_station_counts;
    if (points && attempt([](Case& c) { c.book.format = course::Format::first_fail_ends; })) return;
    if (from.book.run_cap && attempt([](Case& c) { c.book.run_cap.reset(); })) return;
    for (std::size_t i = 0; i < from.book.stations.size(); ++i) {
        const course::Station& s = from.book.stations[i];
        const auto change = [&](const std::function<void(course::Station&)>& f) {
            return attempt([&](Case& c) { f(c.book.stations[i]); });
        };
        if (s.cap && change([](course::Station& x) { x.cap.reset(); })) return;
        if (s.rest_limit && change([](course::Station& x) { x.rest_limit.reset(); })) return;
        if (s.landing.hold && change([](course::Station& x) { x.landing.hold.reset(); })) return;
        if (s.landing.control && change([](course::Station& x) { x.landing.control = false; })) return;
        if (s.landing.no_hands_down && change([](course::Station& x) { x.landing.no_hands_down = false; }))
            return;
        if (s.attempts > 1 && change([](course::Station& x) { x.attempts = 1; })) return;
        if (s.start_plane && change([](course::Station& x) { x.start_plane.reset(); })) return;
        if (!s.rows.empty() && change([](course::Station& x) { x.rows.clear(); })) return;
        if (!s.checkpoints.empty() && change([](course::Station& x) { x.checkpoints.pop_back(); })) return;
        if (s.step_down_allowed && change([](course::Station& x) { x.step_down_allowed = false; })) return;
        for (std::size_t k = 0; s.rows.empty() && k < s.in_play.size(); ++k) {
            if (change([&](course::Station& x) {
                    for (course::Item& item : x.in_play)
                        item.after.reset();
                    x.in_play.erase(x.in_play.begin() + static_cast<std::ptrdiff_t>(k));
                }))
                return;
            if (s.in_play[k].required && change([&](course::Station& x) { x.in_play[k].required = false; }))
                return;
            if (s.in_play[k].once && change([&](course::Station& x) { x.in_play[k].once = false; })) return;
            if (s.in_play[k].after && change([&](course::Station& x) { x.in_play[k].after.reset(); })) return;
        }
    }
}

// Calls back with every review that is one thing simpler.
void each_simpler(const Case& from, const std::function<bool(const Case&)>& take) {
    const auto attempt = [&](const Change& change) {
        Case simpler = from;
        change(simpler);
        return take(simpler);
    };
    const auto drop_each = [&](auto member) {
        for (std::size_t i = 0; i < (from.evidence.*member).size(); ++i) {
            if (attempt([&](Case& c) {
                    (c.evidence.*member).erase((c.evidence.*member).begin() + static_cast<std::ptrdiff_t>(i));
                }))
                return true;
        }
        return false;
    };
    if (drop_each(&ruling::Evidence::marks) || drop_each(&ruling::Evidence::contacts) ||
        drop_each(&ruling::Evidence::spans))
        return;
    for (std::size_t i = 0; i < from.evidence.marks.size(); ++i) {
        const ruling::Mark& mark = from.evidence.marks[i];
        if (mark.possible && attempt([&](Case& c) { c.evidence.marks[i].possible = false; })) return;
        for (std::size_t k = 0; mark.alternatives.size() > 1 && k < mark.alternatives.size(); ++k) {
            if (attempt([&](Case& c) { c.evidence.marks[i].alternatives = {mark.alternatives[k]}; })) return;
        }
        for (std::size_t k = 0; mark.sightings.size() > 1 && k < mark.sightings.size(); ++k) {
            if (attempt([&](Case& c) { c.evidence.marks[i].sightings = {mark.sightings[k]}; })) return;
        }
    }
    if (from.evidence.clips.size() > 1 && attempt(drop_second_clip)) return;
    for (std::size_t i = 0; i < from.evidence.clips.size(); ++i) {
        const ruling::ClipFacts& clip = from.evidence.clips[i];
        if (clip.row_delay.ns > 0 && attempt([&](Case& c) { c.evidence.clips[i].row_delay.ns = 0; })) return;
        if (!clip.durations_known && attempt([&](Case& c) { c.evidence.clips[i].durations_known = true; }))
            return;
    }
    each_simpler_book(from, attempt);
}

}  // namespace

Comparison compare(const Case& review, const Effort& effort) {
    Comparison result;
    ruling::Settings settings;
    settings.drift_parts_per_million = 0;
    settings.explain = false;
    settings.budget_states = effort.engine_states;
    result.answer = enumerate(review, effort);
    if (result.answer.too_large) {
        result.skipped = Skipped::too_large;
        return result;
    }
    const base::Result<ruling::RunRuling> ruled = ruling::rule_run(review.book, review.evidence, settings);
    if (!ruled.ok() && ruled.error().category == base::Category::too_tangled) {
        result.skipped = Skipped::too_tangled;
        return result;
    }
    result.difference = judge_difference(review, result.answer, ruled);
    result.agree = result.difference.empty();
    return result;
}

Case reduced(Case review, const Effort& effort) {
    for (bool smaller = true; smaller;) {
        smaller = false;
        each_simpler(review, [&](const Case& simpler) {
            const Comparison comparison = compare(simpler, effort);
            if (comparison.agree || comparison.skipped != Skipped::no) return false;
            smaller = true;
            review = simpler;
            return true;
        });
    }
    return review;
}

std::string disagreement_text(const Case& review) {
    const Case small = reduced(review);
    const Comparison comparison = compare(small, {.tell = true});
    return describe(small) + comparison.difference + describe(small, comparison.answer);
}

void Spread::count(const Case& review, const Comparison& comparison) {
    ++cases;
    if (comparison.skipped == Skipped::too_large) ++too_large;
    if (comparison.skipped == Skipped::too_tangled) ++too_tangled;
    if (comparison.skipped != Skipped::no) return;
    if (!comparison.agree) ++disagreements;
    if (!comparison.answer.consistent) {
        ++without_world;
        return;
    }
    for (std::size_t i = 0; i < review.book.stations.size(); ++i) {
        const StationAnswer& station = comparison.answer.stations[i];
        ++verdicts[ruling::verdict_words(station.verdict)];
        if (station.verdict != ruling::Verdict::fail) continue;
        for (ruling::Clause clause : station.failing)
            ++clauses[ruling::clause_key(clause)];
    }
}

int Spread::stations() const {
    int all = 0;
    for (const auto& [verdict, n] : verdicts)
        all += n;
    return all;
}

std::string Spread::text() const {
    const auto percent = [](int n, int of) {
        char text[32];
        std::snprintf(text, sizeof text, " (%.1f %%)", of == 0 ? 0.0 : 100.0 * n / of);
        return std::to_string(n) + text;
    };
    std::string told = std::to_string(cases) + " cases, " + std::to_string(disagreements) +
                       " disagreements\nleft out: " + percent(too_large, cases) +
                       " too large for the oracle, " + percent(too_tangled, cases) +
                       " too tangled for the engine\nwithout a world: " + percent(without_world, cases) +
                       "\nverdicts of " + std::to_string(stations()) + " stations:";
    for (const auto& [verdict, n] : verdicts)
        told += "  " + verdict + " " + percent(n, stations());
    told += "\nclauses of shown fails:";
    for (const auto& [clause, n] : clauses)
        told += "  " + clause + " " + std::to_string(n);
    return told + "\n";
}

}  // namespace plumbmark::oracle
