#include "desk/appeals_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

std::string outcome_words(const meet::Decision& decision) {
    switch (decision.outcome) {
        case meet::Outcome::call_stands:
            return tr("the call stands");
        case meet::Outcome::call_changed:
            return decision.call == meet::Call::clear ? tr("changed to clear") : tr("changed to fail");
        case meet::Outcome::rerun:
            return tr("a re-run");
    }
    return "";
}

std::string signed_words(const meet::Decision& decision) {
    std::vector<std::string> names;
    for (const meet::Signature& signature : decision.signatures)
        names.push_back(fmt::format("{} ({})", signature.name.empty() ? tr("name erased") : signature.name,
                                    tr(meet::capacity_words(signature.capacity))));
    return tr("Signed {}: {}.", review::time_of_day(decision.decided_at), base::listed(names, tr("and")));
}

void say_state(const meet::State& state, const meet::Appeal& appeal, AppealRow& row) {
    row.more = appeal.reason;
    if (appeal.status != meet::AppealStatus::lodged) {
        row.state = appeal.status == meet::AppealStatus::refused ? tr("refused") : tr("withdrawn");
        return;
    }
    const meet::Decision* decision = meet::decision_on(state, appeal.id);
    row.waits = decision == nullptr;
    if (row.waits) {
        row.state = tr("waits");
        row.deadline = meet::deadline(state, state.runs().at(appeal.run));
        return;
    }
    row.state = outcome_words(*decision);
    row.more = tr("The ruling was {}. {}{}{}", tr(ruling::verdict_words(decision->ruling)), decision->reason,
                  decision->reason.empty() ? "" : " ", signed_words(*decision));
}

AppealRow row_of(const meet::State& state, review::MeetCourses& courses, const meet::Appeal& appeal) {
    AppealRow row;
    row.appeal = appeal.id;
    row.run = appeal.run;
    row.number = review::number_of(state, state.runs().at(appeal.run));
    row.station = station_name(state, courses, appeal.run, appeal.station);
    if (const meet::FloorCall* call = meet::call_at(state, appeal.run, appeal.station)) {
        row.call = call->call == meet::Call::clear ? tr("clear") : tr("fail");
        if (!call->judge.empty()) row.call = tr("{} by {}", row.call, call->judge);
    }
    row.by = fmt::format("{} ({})", appeal.lodged_by.empty() ? tr("nobody named") : appeal.lodged_by,
                         tr(meet::capacity_words(appeal.capacity)));
    row.point = appeal.point;
    row.lodged_at = appeal.lodged_at;
    say_state(state, appeal, row);
    return row;
}

}  // namespace

std::string station_name(const meet::State& state, review::MeetCourses& courses, meet::RunId run,
                         const std::string& key) {
    const auto stored = state.runs().find(run);
    const course::CourseBook* book = stored != state.runs().end() ? courses.of(stored->second) : nullptr;
    const course::StationId station = book != nullptr ? book->find_station(key) : course::StationId{};
    return station.valid() ? book->station(station).name : key;
}

std::vector<AppealRow> appeal_rows(const meet::State& state, review::MeetCourses& courses) {
    std::vector<AppealRow> rows;
    for (const meet::Waiting& waiting : meet::waiting_appeals(state))
        rows.push_back(row_of(state, courses, state.appeals().at(waiting.appeal)));
    const auto waiting = rows.size();
    for (const auto& [id, appeal] : state.appeals()) {
        AppealRow row = row_of(state, courses, appeal);
        if (!row.waits) rows.push_back(std::move(row));
    }
    std::reverse(rows.begin() + static_cast<std::ptrdiff_t>(waiting), rows.end());
    return rows;
}

}  // namespace plumbmark::desk
