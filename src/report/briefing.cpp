#include "report/briefing.h"

#include <fmt/format.h>

#include "base/text.h"
#include "meet/appeals.h"
#include "report/internal/briefing_words.h"
#include "report/internal/json_parts.h"
#include "report/internal/plain.h"

namespace plumbmark::report {
namespace {

Json json_sentences(const std::vector<std::string>& sentences) {
    Json out = Json::array();
    for (const std::string& sentence : sentences)
        out.push_back(unisolated(sentence));
    return out;
}

Json json_points(const std::vector<BriefingPoint>& points) {
    Json out = Json::array();
    for (const BriefingPoint& point : points)
        out.push_back(
            {{"topic", point.topic}, {"title", point.title}, {"sentences", json_sentences(point.sentences)}});
    return out;
}

const char* form_word(BriefingPlace::Form form) {
    switch (form) {
        case BriefingPlace::Form::area:
            return "area";
        case BriefingPlace::Form::line:
            return "line";
        case BriefingPlace::Form::plane:
            break;
    }
    return "plane";
}

Json json_plan(const BriefingPlan& plan) {
    Json places = Json::array();
    for (const BriefingPlace& place : plan.places) {
        Json one = {{"name", place.name},
                    {"roles", place.roles},
                    {"form", form_word(place.form)},
                    {"points", place.points}};
        if (place.form == BriefingPlace::Form::plane) one["past"] = place.past;
        places.push_back(std::move(one));
    }
    return {{"places", std::move(places)}, {"missing", plan.missing}};
}

void add_points(std::string& out, const std::vector<BriefingPoint>& points) {
    for (const BriefingPoint& point : points)
        out += fmt::format("   {}: {}\n", point.title,
                           unisolated(fmt::format("{}", fmt::join(point.sentences, " "))));
}

void add_list(std::string& out, const std::vector<std::string>& sentences) {
    for (const std::string& sentence : sentences)
        out += "   - " + unisolated(sentence) + "\n";
}

std::string course_line(const BriefingDocument& document) {
    std::string out = fmt::format("{}, revision {}", plain(document.course), plain(document.revision));
    if (!document.division.empty()) out += ", division " + plain(document.division);
    if (!document.lane.empty()) out += ", lane " + plain(document.lane);
    return out;
}

const char* unshown_words(meet::WhenUnshown rule) {
    switch (rule) {
        case meet::WhenUnshown::athletes_favour:
            return "What the footage does not show is decided in the athlete's favour.";
        case meet::WhenUnshown::rerun:
            return "Where the footage does not show it, the run is repeated.";
        case meet::WhenUnshown::call_stands:
            break;
    }
    return "Where the footage does not show it, the call on the floor stands.";
}

std::string who_sentence(const meet::AppealRules& rules) {
    std::vector<std::string> who;
    for (const meet::Capacity capacity : rules.who)
        who.emplace_back(meet::capacity_words(capacity));
    if (who.empty()) return "Nobody may appeal against a call.";
    return fmt::format("An appeal against a call is lodged by: {}.", base::listed(who, "or"));
}

}  // namespace

BriefingDocument briefing_of(const course::CourseBook& book) {
    BriefingDocument document;
    document.course = book.name;
    document.revision = book.revision;
    document.foremost = foremost_sentences(book);
    document.course_points = course_points(book);
    for (std::size_t i = 0; i < book.stations.size(); ++i) {
        const course::Station& station = book.stations[i];
        document.stations.push_back({static_cast<std::int32_t>(i) + 1, station.key, station.name,
                                     station_points(book, i), station_plan(book, i)});
    }
    return document;
}

std::vector<std::string> appeal_sentences(const meet::AppealRules& rules) {
    std::vector<std::string> out{who_sentence(rules)};
    out.push_back(rules.minutes > 0 ? fmt::format("It must come within {} of the announcement of the result.",
                                                  base::counted(rules.minutes, "minute"))
                                    : "There is no deadline.");
    if (!rules.fee.empty()) out.push_back(fmt::format("The fee is {}.", isolated(rules.fee)));
    out.push_back(rules.most > 0 ? fmt::format("At most {} for an athlete over the whole meet.",
                                               base::counted(rules.most, "appeal"))
                                 : "Their number is not limited.");
    out.emplace_back(rules.may_worsen ? "A review may also turn a clear into a fail."
                                      : "A review never turns a clear into a fail.");
    out.emplace_back(unshown_words(rules.when_unshown));
    out.push_back(fmt::format("A decision needs {}{}.", base::counted(rules.signatures, "signature"),
                              rules.judge_decides_alone ? "; whoever gave the call may decide alone"
                                                        : ", not that of the judge who gave the call alone"));
    return out;
}

std::string briefing_text(const BriefingDocument& document) {
    std::string out = document.meet_name.empty() ? "" : plain(document.meet_name) + "\n";
    out += "Briefing: " + course_line(document) + "\n\nFor every station\n";
    add_list(out, document.foremost);
    out += "\nThe run\n";
    add_points(out, document.course_points);
    for (const BriefingStation& station : document.stations) {
        out += fmt::format("\n{}. {}\n", station.number, plain(station.name));
        add_points(out, station.points);
    }
    if (document.appeals.empty()) return out;
    out += "\nAppeals\n";
    add_list(out, document.appeals);
    return out;
}

std::string briefing_json(const BriefingDocument& document) {
    Json stations = Json::array();
    for (const BriefingStation& station : document.stations) {
        Json its = {{"number", station.number},
                    {"station", station.key},
                    {"name", station.name},
                    {"points", json_points(station.points)}};
        if (!station.plan.places.empty()) its["plan"] = json_plan(station.plan);
        stations.push_back(std::move(its));
    }
    const Json whole = {
        {"form", "plumbmark briefing"},
        {"form_version", 1},
        {"program_version", document.program_version},
        {"meet", {{"name", document.meet_name}, {"venue", document.venue}, {"date", document.date}}},
        {"course",
         {{"name", document.course},
          {"revision", document.revision},
          {"division", document.division},
          {"lane", document.lane}}},
        {"foremost", json_sentences(document.foremost)},
        {"course_points", json_points(document.course_points)},
        {"stations", std::move(stations)},
        {"appeals", json_sentences(document.appeals)},
    };
    return whole.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace plumbmark::report
