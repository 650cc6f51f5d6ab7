#include "review/appeal_work.h"

#include <fmt/format.h>

#include <ctime>

#include "base/worded.h"
#include "meet/who_ran.h"
#include "review/competition.h"
#include "review/internal/spoken.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

namespace {

/// Adds what makes the run's review be about the appeal.
void mark_for_review(const meet::State& state, const meet::Appeal& appeal, meet::Change& change) {
    const meet::Run& run = state.runs().at(appeal.run);
    if (!appeal.point.empty() && run.question != appeal.point) {
        meet::Run asked = run;
        asked.question = appeal.point;
        change.edits.push_back({run, asked});
    }
    const meet::FloorCall* call = meet::call_at(state, appeal.run, appeal.station);
    if (call == nullptr || call->under_appeal) return;
    meet::FloorCall marked = *call;
    marked.under_appeal = true;
    change.edits.push_back({*call, marked});
}

Result<const meet::Appeal*> find(const meet::State& state, meet::AppealId id) {
    const auto appeal = state.appeals().find(id);
    if (appeal == state.appeals().end())
        return Error{Category::not_found, worded("There is no appeal {}.", id.value), ""};
    return &appeal->second;
}

}  // namespace

int utc_offset_minutes() {
    const std::time_t now = std::time(nullptr);
    std::tm local{};
    localtime_r(&now, &local);
    return static_cast<int>(local.tm_gmtoff / 60);
}

std::string time_of_day(meet::WallTime time) {
    return meet::time_of_day(time, utc_offset_minutes());
}

std::string number_of(const meet::State& state, const meet::Run& run) {
    const meet::Athlete* athlete = meet::athlete_of(state, run);
    return athlete == nullptr ? run.label : athlete->number;
}

std::string time_left(const std::optional<meet::WallTime>& deadline, meet::WallTime now) {
    if (!deadline) return base::spoken("no deadline");
    const std::int64_t left = deadline->ms - now.ms;
    if (left < 0) return base::spoken("time is over");
    return format_spoken("{}:{:02} left", left / 60'000, left / 1'000 % 60);
}

Result<Lodging> lodging(const meet::State& state, meet::Appeal appeal) {
    if (!state.runs().contains(appeal.run))
        return Error{Category::not_found, worded("There is no such run."), ""};
    Lodging made;
    appeal.id = {state.next_id(meet::Kind::appeal)};
    appeal.status = meet::AppealStatus::lodged;
    made.id = appeal.id;
    made.refusals = meet::refusals(state, appeal, utc_offset_minutes());
    for (const meet::Refusal& refusal : made.refusals) {
        appeal.status = meet::AppealStatus::refused;
        appeal.reason += (appeal.reason.empty() ? "" : " ") + refusal.sentence.english();
    }
    made.change.label = made.refusals.empty() ? base::to_translate("lodge an appeal")
                                              : base::to_translate("refuse an appeal");
    made.change.edits.push_back({std::nullopt, appeal});
    if (made.refusals.empty()) mark_for_review(state, appeal, made.change);
    return made;
}

meet::Change opening_for_review(const meet::State& state, const meet::Appeal& appeal) {
    meet::Change change{fmt::format("review for appeal {}", appeal.id.value), {}, 0};
    mark_for_review(state, appeal, change);
    return change;
}

Result<meet::Change> withdrawal(const meet::State& state, meet::AppealId id, const std::string& reason) {
    const auto appeal = find(state, id);
    if (!appeal) return appeal.error();
    const base::Sentence where = worded("appeal {}", id.value);
    if (meet::decision_on(state, id) != nullptr)
        return Error{Category::bad_input, worded("It is decided already."), where};
    if ((*appeal)->status != meet::AppealStatus::lodged)
        return Error{Category::bad_input, worded("It does not wait for a decision."), where};
    meet::Appeal after = **appeal;
    after.status = meet::AppealStatus::withdrawn;
    after.reason = reason;
    meet::Change change{base::to_translate("withdraw an appeal"), {{**appeal, after}}, 0};
    const meet::FloorCall* call = meet::call_at(state, after.run, after.station);
    if (call != nullptr && call->under_appeal) {
        meet::FloorCall free = *call;
        free.under_appeal = false;
        change.edits.push_back({*call, free});
    }
    return change;
}

Result<AppealRuling> appeal_ruling(const Session& session, const meet::Appeal& appeal) {
    if (session.run() != appeal.run)
        return Error{Category::busy, worded("Another run than the appeal's is being reviewed."), ""};
    const RulingView& view = session.ruling();
    if (!view.current) return Error{Category::busy, worded("The ruling is being reached."), ""};
    if (view.error) return *view.error;
    const course::StationId station =
        session.book() != nullptr ? session.book()->find_station(appeal.station) : course::StationId{};
    if (!station.valid())
        return Error{Category::not_found,
                     worded("The course of this run has no station '{}'.", appeal.station), ""};
    for (const ruling::StationRuling& ruled : view.ruling->stations)
        if (ruled.station == station) return AppealRuling{ruled.verdict, ruled.sentence};
    return Error{Category::not_found, worded("The station was not ruled."), ""};
}

Result<AppealRuling> appeal_ruling(const std::filesystem::path& meet_file, meet::AppealId id) {
    SessionOptions reading;
    reading.read_only = true;
    auto session = Session::open(meet_file, reading);
    if (!session) return session.error();
    const auto appeal = find((*session)->state(), id);
    if (!appeal) return appeal.error();
    (*session)->select_run((*appeal)->run);
    if (Result<void> settled = (*session)->settle(); !settled) return settled.error();
    return appeal_ruling(**session, **appeal);
}

Result<meet::Decision> decision_by(const meet::State& state, meet::AppealId id, ruling::Verdict ruling,
                                   const std::string& reason,
                                   const std::vector<meet::Signature>& signatures) {
    const auto appeal = find(state, id);
    if (!appeal) return appeal.error();
    const meet::FloorCall* call = meet::call_at(state, (*appeal)->run, (*appeal)->station);
    if (call == nullptr)
        return Error{Category::bad_input, worded("No call was given at this station of the run."), ""};
    const meet::Effect effect = meet::effect_of(state.rules().appeals, call->call, ruling);
    return meet::Decision{{state.next_id(meet::Kind::decision)},
                          id,
                          ruling,
                          effect.outcome,
                          effect.call,
                          reason,
                          now(),
                          signatures};
}

}  // namespace plumbmark::review
