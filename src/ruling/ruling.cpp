#include "ruling/ruling.h"

#include "ruling/internal/explain.h"

namespace plumbmark::ruling {

const char* verdict_words(Verdict verdict) {
    switch (verdict) {
        case Verdict::clear:
            return "CLEAR";
        case Verdict::fail:
            return "FAIL";
        case Verdict::not_shown:
            return "NOT SHOWN";
        case Verdict::not_reached:
            return "NOT REACHED";
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
            return "start";
        case Clause::out_of_play:
            return "nothing out of play";
        case Clause::part:
            return "items by their parts only";
        case Clause::order:
            return "items in order";
        case Clause::once:
            return "items once";
        case Clause::hands_down:
            return "no hands down";
        case Clause::attempt:
            return "attempts";
        case Clause::cap:
            return "time caps";
        case Clause::infraction:
            return "no infraction";
        case Clause::landing:
            return "landing";
        case Clause::run_ended:
            return "completed before the run ended";
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
                           "The appeal names a station that the course does not have.", ""};
    const auto earlier = static_cast<std::size_t>(station.value);
    if (called_clear.size() < earlier)
        return base::Error{base::Category::bad_input,
                           "An appeal about " + course.book().station(station).name +
                               " needs the floor call of every station before it.",
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
