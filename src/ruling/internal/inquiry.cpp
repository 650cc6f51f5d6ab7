#include "ruling/internal/inquiry.h"

#include <algorithm>

namespace plumbmark::ruling {
namespace {

// What preparing a ruling costs beside its states, so that many small ones cannot go on for ever either.
constexpr std::int64_t kPrepared = 20;

}  // namespace

std::optional<base::Result<Decided>> Work::rule(const CoursePtr& course, const Evidence& evidence,
                                                const Settings& settings, std::int64_t at_most,
                                                const Enough& enough) {
    const std::int64_t budget = std::min({left_ - kPrepared, at_most, settings.budget_states});
    if (budget <= 0) return std::nullopt;
    Settings bounded = settings;
    bounded.budget_states = budget;
    base::Result<Decided> decided = decide_as_called(course, evidence, bounded, calls_, enough);
    left_ -= kPrepared;
    if (decided.ok()) {
        left_ -= decided->work.states;
    } else if (decided.error().category == base::Category::too_tangled) {
        left_ -= budget;
        return std::nullopt;
    } else if (decided.error().category == base::Category::cancelled) {
        left_ = 0;  // nothing more is tried; rule_and_explain tells that it was stopped
        return std::nullopt;
    }
    return decided;
}

CoursePtr course_up_to(const CoursePtr& course, std::size_t station) {
    const course::CourseBook& book = course->book();
    if (station + 1 >= book.stations.size()) return course;
    // A later station bears on this one when it can begin while this one, or one before, is waited for.
    bool waits = book.format == course::Format::every_station_counts;
    for (std::size_t k = 0; k <= station; ++k) {
        waits |= book.stations[k].attempts > 1;
        waits |= k < station && book.stations[k].exit == course::Exit::free;
    }
    if (waits) return course;
    course::CourseBook some = book;
    some.stations.resize(station + 1);
    return std::make_shared<const CourseRoles>(std::move(some));
}

bool same_ruling(const BareVerdict& ruling, const BareVerdict& again) {
    return ruling.verdict == again.verdict && (ruling.if_reached || !again.if_reached);
}

}  // namespace plumbmark::ruling
