#include "ruling/ruling.h"

#include "base/catalogue.h"
#include "base/worded.h"
#include "ruling/internal/explain.h"

namespace plumbmark::ruling {

const char* verdict_words(Verdict verdict) {
    switch (verdict) {
        case Verdict::clear:
            return base::to_translate("CLEAR");
        case Verdict::fail:
            return base::to_translate("FAIL");
        case Verdict::not_shown:
            return base::to_translate("NOT SHOWN");
        case Verdict::not_reached:
            return base::to_translate("NOT REACHED");
    }
    return "";
}

const char* verdict_key(Verdict verdict) {
    switch (verdict) {
        case Verdict::clear:
            return "clear";
        case Verdict::fail:
            return "fail";
        case Verdict::not_shown:
            return "not_shown";
        case Verdict::not_reached:
            return "not_reached";
    }
    return "";
}

const char* clause_key(Clause clause) {
    switch (clause) {
        case Clause::start:
            return "start";
        case Clause::out_of_play:
            return "out_of_play";
        case Clause::part:
            return "part";
        case Clause::order:
            return "order";
        case Clause::once:
            return "once";
        case Clause::hands_down:
            return "hands_down";
        case Clause::attempt:
            return "attempt";
        case Clause::cap:
            return "cap";
        case Clause::infraction:
            return "infraction";
        case Clause::landing:
            return "landing";
        case Clause::run_ended:
            return "run_ended";
    }
    return "";
}

const char* clause_words(Clause clause) {
    switch (clause) {
        case Clause::start:
            return base::to_translate("start");
        case Clause::out_of_play:
            return base::to_translate("nothing out of play");
        case Clause::part:
            return base::to_translate("items by their parts only");
        case Clause::order:
            return base::to_translate("items in order");
        case Clause::once:
            return base::to_translate("items once");
        case Clause::hands_down:
            return base::to_translate("no hands down");
        case Clause::attempt:
            return base::to_translate("attempts");
        case Clause::cap:
            return base::to_translate("time caps");
        case Clause::infraction:
            return base::to_translate("no infraction");
        case Clause::landing:
            return base::to_translate("landing");
        case Clause::run_ended:
            return base::to_translate("completed before the run ended");
    }
    return "";
}

PreparedCourse::PreparedCourse(course::CourseBook book)
    : roles_(std::make_shared<const CourseRoles>(std::move(book))) {}

const course::CourseBook& PreparedCourse::book() const {
    return roles_->book();
}

base::Result<RunRuling> rule_run(const PreparedCourse& course, const Evidence& evidence,
                                 const Settings& settings) {
    return rule_and_explain(course.roles(), evidence, {}, settings);
}

base::Result<RunRuling> rule_run(const course::CourseBook& book, const Evidence& evidence,
                                 const Settings& settings) {
    return rule_run(PreparedCourse(book), evidence, settings);
}

base::Result<RunRuling> rule_appeal(const PreparedCourse& course, const Evidence& evidence,
                                    course::StationId station, const std::vector<bool>& called_clear,
                                    const Settings& settings) {
    const auto stations = static_cast<std::int64_t>(course.book().stations.size());
    if (!station.valid() || station.value >= stations)
        return base::Error{base::Category::bad_input,
                           base::worded("The appeal names a station that the course does not have."), ""};
    const auto earlier = static_cast<std::size_t>(station.value);
    if (called_clear.size() < earlier)
        return base::Error{base::Category::bad_input,
                           base::worded("An appeal about {} needs the floor call of every station before it.",
                                        course.book().station(station).name),
                           ""};
    Calls calls;
    calls.clear.assign(called_clear.begin(), called_clear.begin() + station.value);
    return rule_and_explain(course.roles(), evidence, calls, settings);
}

base::Result<RunRuling> rule_appeal(const course::CourseBook& book, const Evidence& evidence,
                                    course::StationId station, const std::vector<bool>& called_clear,
                                    const Settings& settings) {
    return rule_appeal(PreparedCourse(book), evidence, station, called_clear, settings);
}

}  // namespace plumbmark::ruling
