#include "ruling/internal/sentences.h"

#include <algorithm>
#include <bit>
#include <set>

namespace plumbmark::ruling {
namespace {

constexpr std::size_t kMostReasons = 3;

Sentence number_words(std::size_t n) {
    switch (n) {
        case 0:
            return say_in("a number of stations", "none");
        case 1:
            return say_in("a number of stations", "one");
        case 2:
            return say_in("a number of stations", "two");
        case 3:
            return say_in("a number of stations", "three");
        case 4:
            return say_in("a number of stations", "four");
        case 5:
            return say_in("a number of stations", "five");
        case 6:
            return say_in("a number of stations", "six");
        case 7:
            return say_in("a number of stations", "seven");
        case 8:
            return say_in("a number of stations", "eight");
        case 9:
            return say_in("a number of stations", "nine");
        case 10:
            return say_in("a number of stations", "ten");
        default:
            return std::to_string(n);
    }
}

/// Who has to be on the landing; nobody where only planes count.
struct Landers {
    Sentence who;
    bool several = false;
};

Landers landers(const Words& words, const course::Landing& landing) {
    switch (landing.parts) {
        case course::LandingParts::any_part:
            return {say("the athlete"), false};
        case course::LandingParts::any_foot:
            return {say("a foot"), false};
        case course::LandingParts::any_hand:
            return {say("a hand"), false};
        case course::LandingParts::both_feet:
            return {say("both feet"), true};
        case course::LandingParts::both_hands:
            return {say("both hands"), true};
        case course::LandingParts::listed:
            return {words.parts(landing.listed_parts), std::popcount(landing.listed_parts.bits()) > 1};
        case course::LandingParts::none:
            break;
    }
    return {};
}

Sentence planes_words(const Words& words, const course::Landing& landing) {
    std::vector<Sentence> planes;
    for (const course::PlaneCondition& plane : landing.planes) {
        const Sentence name = words.plane(plane.plane);
        planes.push_back(plane.part ? say("with {} past {}", words.part(*plane.part), name)
                                    : say_in("where the athlete is", "past {}", name));
    }
    return listed(planes);
}

/// The landing on its surfaces, now or at a time.
Sentence on_landing(const Landers& landers, const Sentence& surfaces, bool same_surface,
                    const Sentence* when) {
    const Sentence& who = landers.who;
    if (!landers.several)
        return when ? say("{} was on {} {}", who, surfaces, *when) : say("{} is on {}", who, surfaces);
    if (!when)
        return same_surface ? say("{} are on one of {}", who, surfaces) : say("{} are on {}", who, surfaces);
    return same_surface ? say("{} were on one of {} {}", who, surfaces, *when)
                        : say("{} were on {} {}", who, surfaces, *when);
}

Sentence completion_words(const Inquiry& inquiry, std::size_t station, const Sentence* when) {
    const course::Landing& landing = inquiry.book.stations[station].landing;
    const Words& words = inquiry.words;
    const Landers who = landers(words, landing);
    const Sentence planes = planes_words(words, landing);
    Sentence text;
    if (who.who.empty()) {
        text = when ? say("the athlete was {} {}", planes, *when) : say("the athlete is {}", planes);
    } else {
        text = on_landing(who, words.surfaces(landing.surfaces, "or"), landing.same_surface, when);
        if (!planes.empty()) text = say("{}, {}", text, planes);
    }
    if (landing.hold) text = say("{}, held for {}", text, base::duration_text(*landing.hold));
    if (landing.control) text = say("{}, in control", text);
    return text;
}

/// "17.283 to 17.317 s", rounded outward to the millisecond.
Sentence split_words(base::Duration low, base::Duration high) {
    const auto text = [](std::int64_t milliseconds) {
        const std::string rest = std::to_string(1000 + milliseconds % 1000).substr(1);
        return std::to_string(milliseconds / 1000) + "." + rest;
    };
    return say("{} to {} s", text(low.ns / 1'000'000), text((high.ns + 999'999) / 1'000'000));
}

Sentence clear_sentence(const Inquiry& inquiry, const StationRuling& ruling) {
    const auto station = static_cast<std::size_t>(ruling.station.value);
    const Sentence when =
        ruling.decided_at ? inquiry.words.by(*ruling.decided_at) : say("by the end of the marks");
    return say("{}; nothing out of play was touched before.", completion_told(inquiry, station, when));
}

Sentence fail_sentence(const Inquiry& inquiry, const StationRuling& ruling) {
    const std::vector<Reason> all = reasons(inquiry, static_cast<std::size_t>(ruling.station.value));
    const Sentence when = ruling.decided_at ? inquiry.words.by(*ruling.decided_at) : Sentence();
    if (all.size() == 1 && !all.front().unseen)
        return when.empty() ? say("{}.", all.front().words) : say("{}, {}.", all.front().words, when);
    std::vector<Sentence> ways;
    for (std::size_t i = 0; i < std::min(all.size(), kMostReasons); ++i)
        ways.push_back(all[i].unseen ? say("{} unseen", all[i].words) : all[i].words);
    if (all.size() > kMostReasons) ways.push_back(say("it failed in another way"));
    const Sentence list = listed(ways, "or");
    return when.empty() ? say("it failed in every way it can have been: {}.", list)
                        : say("it failed in every way it can have been: {}, at the latest {}.", list, when);
}

Sentence not_shown_sentence(const StationRuling& ruling, bool tried_to_settle) {
    Sentence text;
    for (const Verdict verdict : {Verdict::clear, Verdict::fail}) {
        for (const World& world : ruling.worlds) {
            if (text.empty() && world.verdict == verdict && !world.unless)
                text = say("the footage does not show whether {}.", world.condition);
        }
    }
    if (text.empty()) text = say("the footage does not show how it came out.");
    const bool hopeless = ruling.settle.empty() && tried_to_settle;
    return hopeless ? say("{} No single change settles it.", text) : text;
}

Sentence not_reached_sentence(const Inquiry& inquiry, const std::vector<StationRuling>& before) {
    const bool started = std::any_of(inquiry.decided.endings.begin(), inquiry.decided.endings.end(),
                                     [](const Ending& ending) { return ending.started; });
    if (!started) return say("Not reached: no start signal is marked.");
    for (const StationRuling& ruling : before) {
        if (ruling.verdict == Verdict::clear) continue;
        if (ruling.verdict == Verdict::not_reached) break;
        const Sentence name = inquiry.words.station(ruling.station);
        return ruling.verdict == Verdict::fail ? say("Not reached: the run ended at {}.", name)
                                               : say("Not reached: the run got no further than {}.", name);
    }
    return say("Not reached: the run did not get to it.");
}

Sentence points_words(const std::set<std::int32_t>& points) {
    std::vector<Sentence> ways;
    for (const std::int32_t n : points)
        ways.emplace_back(std::to_string(n));
    const Sentence list = listed(ways, "or");
    return points == std::set<std::int32_t>{1} ? say("{} point", list) : say("{} points", list);
}

/// Says the credit where a checkpoint was, or may have been, reached without a clear.
Sentence with_part_credit(const Sentence& text, const course::Station& station, const StationRuling& ruling) {
    std::set<std::int32_t> credit(ruling.points.begin(), ruling.points.end());
    if (ruling.verdict == Verdict::clear) return text;
    if (ruling.verdict == Verdict::not_shown) credit.erase(station.points);
    if (credit.empty() || credit == std::set<std::int32_t>{0}) return text;
    return say("{} Part credit: {}.", text, points_words(credit));
}

Sentence with_finish(const Sentence& text, const Inquiry& inquiry, const RunRuling& ruling) {
    if (!inquiry.book.finish.required) return text;
    bool full = false, missed = false;
    for (const RunResult& result : ruling.results) {
        if (static_cast<std::size_t>(result.cleared) != inquiry.book.stations.size()) continue;
        (result.full_clear ? full : missed) = true;
    }
    const Sentence finish = inquiry.words.finish();
    if (full && missed) return say("{}; whether {} registered is not shown", text, finish);
    if (full) return say("{} and {} registered", text, finish);
    return missed ? say("{}, but {} did not register", text, finish) : text;
}

Sentence cleared_words(const std::set<std::size_t>& counts, std::size_t stations) {
    if (counts == std::set<std::size_t>{0}) return say("No station cleared");
    if (counts.size() == 1 && *counts.begin() == stations)
        return stations == 1 ? say("The one station cleared")
                             : say("All {} stations cleared", number_words(stations));
    std::vector<Sentence> ways;
    for (const std::size_t n : counts)
        ways.push_back(number_words(n));
    const Sentence cleared = sentence_case(listed(ways, "or"));
    return stations == 1 ? say("{} of one station cleared", cleared)
                         : say("{} of {} stations cleared", cleared, number_words(stations));
}

}  // namespace

Sentence completion_rule(const Inquiry& inquiry, std::size_t station) {
    return completion_words(inquiry, station, nullptr);
}

Sentence completion_told(const Inquiry& inquiry, std::size_t station, const Sentence& when) {
    return completion_words(inquiry, station, &when);
}

Sentence station_sentence(const Inquiry& inquiry, const StationRuling& ruling,
                          const std::vector<StationRuling>& before, bool tried_to_settle) {
    Sentence text;
    switch (ruling.verdict) {
        case Verdict::clear:
            text = clear_sentence(inquiry, ruling);
            break;
        case Verdict::fail:
            text = fail_sentence(inquiry, ruling);
            break;
        case Verdict::not_shown:
            text = not_shown_sentence(ruling, tried_to_settle);
            break;
        case Verdict::not_reached:
            return not_reached_sentence(inquiry, before);
    }
    text = ruling.if_reached ? say("If reached: {}", text) : sentence_case(text);
    return with_part_credit(text, inquiry.book.station(ruling.station), ruling);
}

Sentence run_sentence(const Inquiry& inquiry, const RunRuling& ruling) {
    const std::size_t stations = inquiry.book.stations.size();
    std::set<std::size_t> counts;
    for (const RunResult& result : ruling.results)
        counts.insert(static_cast<std::size_t>(result.cleared));
    if (stations == 0 || counts.empty()) return say("The course has no stations.");
    Sentence text = cleared_words(counts, stations);
    if (counts.size() == 1) text = with_finish(text, inquiry, ruling);
    if (inquiry.book.format == course::Format::every_station_counts) {
        std::set<std::int32_t> points;
        for (const RunResult& result : ruling.results)
            points.insert(result.points);
        text = say("{}; {}", text, points_words(points));
    }
    if (ruling.split_low && ruling.split_high)
        text = say("{}; {}", text, split_words(*ruling.split_low, *ruling.split_high));
    return say("{}.", text);
}

}  // namespace plumbmark::ruling
