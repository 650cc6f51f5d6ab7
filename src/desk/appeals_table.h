// The appeals of a meet as rows of words: those that wait first, the oldest at the top. Without a window.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "review/appeal_work.h"
#include "review/competition.h"

namespace plumbmark::desk {

struct AppealRow {
    meet::AppealId appeal;
    meet::RunId run;
    std::string number;   ///< of the athlete
    std::string station;  ///< by name
    std::string call;     ///< "fail by judge at the quay"; empty: none was given
    std::string by;       ///< "Ann (coach)"
    std::string point;
    std::string state;  ///< "waits", "clear: the call is changed", "refused", "withdrawn"
    std::string more;   ///< why refused or withdrawn, or the decision's reason and who signed
    bool waits = false;
    std::optional<meet::WallTime> deadline;  ///< for appeals about this result
    meet::WallTime lodged_at;
};

/// Waiting ones in the order in which they were lodged, then the others, the latest first.
[[nodiscard]] std::vector<AppealRow> appeal_rows(const meet::State& state, review::MeetCourses& courses);

/// The name of a station of this run's course; its key where there is none.
[[nodiscard]] std::string station_name(const meet::State& state, review::MeetCourses& courses,
                                       meet::RunId run, const std::string& key);

}  // namespace plumbmark::desk
