#include "ruling/internal/sentences.h"

#include <algorithm>
#include <array>
#include <set>

#include "base/text.h"

namespace plumbmark::ruling {
namespace {

constexpr std::size_t kMostReasons = 3;

std::string number_words(std::size_t n) {
    static constexpr std::array<const char*, 11> kWords{"none", "one",   "two",   "three", "four", "five",
                                                        "six",  "seven", "eight", "nine",  "ten"};
    return n < kWords.size() ? kWords[n] : std::to_string(n);
}

std::string landing_parts(const Words& words, const course::Landing& landing, bool& several) {
    several = false;
    switch (landing.parts) {
        case course::LandingParts::any_part:
            return "the athlete";
        case course::LandingParts::any_foot:
            return "a foot";
        case course::LandingParts::any_hand:
            return "a hand";
        case course::LandingParts::both_feet:
            several = true;
            return "both feet";
        case course::LandingParts::both_hands:
            several = true;
            return "both hands";
        case course::LandingParts::listed:
            several = true;
            return words.parts(landing.listed_parts);
        case course::LandingParts::none:
            return "";
    }
    return "";
}

std::string planes_words(const Words& words, const course::Landing& landing) {
    std::vector<std::string> planes;
    for (const course::PlaneCondition& plane : landing.planes)
        planes.push_back((plane.part ? "with " + words.part(*plane.part) + " past " : "past ") +
                         words.plane(plane.plane));
    return base::listed(planes);
}

/// "17.283 to 17.317 s", rounded outward to the millisecond.
std::string split_words(base::Duration low, base::Duration high) {
    const auto text = [](std::int64_t milliseconds) {
        const std::string rest = std::to_string(1000 + milliseconds % 1000).substr(1);
        return std::to_string(milliseconds / 1000) + "." + rest;
    };
    return text(low.ns / 1'000'000) + " to " + text((high.ns + 999'999) / 1'000'000) + " s";
}

std::string clear_sentence(const Inquiry& inquiry, const StationRuling& ruling) {
    const auto station = static_cast<std::size_t>(ruling.station.value);
    const std::string when =
        ruling.decided_at ? inquiry.words.by(*ruling.decided_at) : "by the end of the marks";
    return completion_words(inquiry, station, true, when) + "; nothing out of play was touched before.";
}

std::string fail_sentence(const Inquiry& inquiry, const StationRuling& ruling) {
    std::vector<Reason> all = reasons(inquiry, static_cast<std::size_t>(ruling.station.value));
    const std::string when = ruling.decided_at ? ", " + inquiry.words.by(*ruling.decided_at) : "";
    if (all.size() == 1 && !all.front().unseen) return all.front().words + when + ".";
    std::vector<std::string> ways;
    for (std::size_t i = 0; i < std::min(all.size(), kMostReasons); ++i)
        ways.push_back(all[i].words + (all[i].unseen ? " unseen" : ""));
    if (all.size() > kMostReasons) ways.emplace_back("it failed in another way");
    const std::string latest =
        ruling.decided_at ? ", at the latest " + inquiry.words.by(*ruling.decided_at) : "";
    return "it failed in every way it can have been: " + base::listed(ways, "or") + latest + ".";
}

/// "clear if X" as "whether X".
std::string not_shown_sentence(const StationRuling& ruling, bool tried_to_settle) {
    std::string text;
    for (const char* lead : {"clear if ", "fail if "}) {
        for (const World& world : ruling.worlds) {
            if (text.empty() && world.sentence.rfind(lead, 0) == 0)
                text = "the footage does not show whether " +
                       world.sentence.substr(std::string(lead).size()) + ".";
        }
    }
    if (text.empty()) text = "the footage does not show how it came out.";
    if (ruling.settle.empty() && tried_to_settle) text += " No single change settles it.";
    return text;
}

std::string not_reached_sentence(const Inquiry& inquiry, const std::vector<StationRuling>& before) {
    const bool started = std::any_of(inquiry.decided.endings.begin(), inquiry.decided.endings.end(),
                                     [](const Ending& ending) { return ending.started; });
    if (!started) return "Not reached: no start signal is marked.";
    for (const StationRuling& ruling : before) {
        if (ruling.verdict == Verdict::clear) continue;
        if (ruling.verdict == Verdict::not_reached) break;
        const std::string& name = inquiry.book.station(ruling.station).name;
        return "Not reached: the run " +
               std::string(ruling.verdict == Verdict::fail ? "ended at " : "got no further than ") + name +
               ".";
    }
    return "Not reached: the run did not get to it.";
}

std::string points_words(const std::set<std::int32_t>& points) {
    std::vector<std::string> ways;
    for (const std::int32_t n : points)
        ways.push_back(std::to_string(n));
    return base::listed(ways, "or") + (points == std::set<std::int32_t>{1} ? " point" : " points");
}

/// " Part credit: 5 points." where a checkpoint was, or may have been, reached without a clear.
std::string part_credit_words(const course::Station& station, const StationRuling& ruling) {
    std::set<std::int32_t> credit(ruling.points.begin(), ruling.points.end());
    if (ruling.verdict == Verdict::clear) return "";
    if (ruling.verdict == Verdict::not_shown) credit.erase(station.points);
    if (credit.empty() || credit == std::set<std::int32_t>{0}) return "";
    return " Part credit: " + points_words(credit) + ".";
}

std::string finish_words(const Inquiry& inquiry, const RunRuling& ruling, std::size_t stations) {
    if (!inquiry.book.finish.required) return "";
    bool full = false, missed = false;
    for (const RunResult& result : ruling.results) {
        if (static_cast<std::size_t>(result.cleared) != stations) continue;
        (result.full_clear ? full : missed) = true;
    }
    if (full && missed) return "; whether " + inquiry.words.finish() + " registered is not shown";
    if (full) return " and " + inquiry.words.finish() + " registered";
    return missed ? ", but " + inquiry.words.finish() + " did not register" : "";
}

}  // namespace

std::string completion_words(const Inquiry& inquiry, std::size_t station, bool happened,
                             const std::string& when) {
    const course::Landing& landing = inquiry.book.stations[station].landing;
    const Words& words = inquiry.words;
    bool several = false;
    std::string who = landing_parts(words, landing, several);
    const std::string planes = planes_words(words, landing);
    const std::string time = when.empty() ? "" : " " + when;
    std::string text;
    if (who.empty()) {
        text = "the athlete " + std::string(happened ? "was " : "is ") + planes + time;
    } else {
        text = who + (happened ? (several ? " were on " : " was on ") : (several ? " are on " : " is on ")) +
               std::string(several && landing.same_surface ? "one of " : "") +
               words.surfaces(landing.surfaces, "or") + time + (planes.empty() ? "" : ", " + planes);
    }
    if (landing.hold) text += ", held for " + base::duration_text(*landing.hold);
    if (landing.control) text += ", in control";
    return text;
}

std::string station_sentence(const Inquiry& inquiry, const StationRuling& ruling,
                             const std::vector<StationRuling>& before, bool tried_to_settle) {
    std::string text;
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
    text = ruling.if_reached ? "If reached: " + text : base::sentence_case(text);
    return text + part_credit_words(inquiry.book.station(ruling.station), ruling);
}

std::string run_sentence(const Inquiry& inquiry, const RunRuling& ruling) {
    const std::size_t stations = inquiry.book.stations.size();
    std::set<std::size_t> counts;
    for (const RunResult& result : ruling.results)
        counts.insert(static_cast<std::size_t>(result.cleared));
    if (stations == 0 || counts.empty()) return "The course has no stations.";
    std::string text;
    if (counts.size() == 1 && *counts.begin() == stations) {
        text =
            stations == 1 ? "The one station cleared" : "All " + number_words(stations) + " stations cleared";
    } else {
        std::vector<std::string> ways;
        for (const std::size_t n : counts)
            ways.push_back(number_words(n));
        text = base::sentence_case(base::listed(ways, "or")) + " of " + number_words(stations) +
               (stations == 1 ? " station" : " stations") + " cleared";
    }
    if (counts == std::set<std::size_t>{0}) text = "No station cleared";
    if (counts.size() == 1) text += finish_words(inquiry, ruling, stations);
    if (inquiry.book.format == course::Format::every_station_counts) {
        std::set<std::int32_t> points;
        for (const RunResult& result : ruling.results)
            points.insert(result.points);
        text += "; " + points_words(points);
    }
    if (ruling.split_low && ruling.split_high)
        text += "; " + split_words(*ruling.split_low, *ruling.split_high);
    return text + ".";
}

}  // namespace plumbmark::ruling
