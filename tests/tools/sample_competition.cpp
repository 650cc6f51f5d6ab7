#include "sample_competition.h"

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "meet/floor_entry.h"
#include "review/appeal_work.h"
#include "review/competition.h"

namespace plumbmark::sample {
namespace {

using base::Result;
using review::Session;

constexpr std::int64_t kMinute = 60'000;

struct Athlete {
    const char* number;
    const char* name;
    const char* club;
    const char* division;
    const char* born;
    meet::Consent consent;
    const char* calls;  ///< as meet::read_calls(); empty: has not run
    const char* time;   ///< of the official clock at the last station that was cleared; empty: none was taken
    meet::EntryStatus status = meet::EntryStatus::entered;
    const char* reason = "";
};

// Those with footage have their athletes already: here they only get their entry, calls and times.
constexpr auto kGiven = meet::Consent::given, kRefused = meet::Consent::refused,
               kUnknown = meet::Consent::unknown;
const std::vector<Athlete> kAthletes{
    {"12", "Turnstone", "Slipway", "10 to 11", "2015", kGiven, "ccc", "26.31"},
    {"14", "Γλαρόνι", "North Quay", "10 to 11", "2016", kRefused, "ccf", "19.84"},
    {"15", "चकोर", "Dry Dock", "10 to 11", "2015", kUnknown, "cf", "9.95"},
    {"16", "نورس", "Slipway", "10 to 11", "2016", kGiven, "ccc", "25.07/25.11"},
    {"18", "Þúfutittlingur", "Breakwater", "10 to 11", "2015", kGiven, "", "",
     meet::EntryStatus::not_started},
    {"19", "Whimbrel", "Breakwater", "10 to 11", "2016", kUnknown, "", ""},
    {"17", "", "", "12 to 13", "2014", kGiven, "ccc", "21.90"},
    {"23", "", "", "12 to 13", "2013", kGiven, "cf", "8.62"},
    {"30", "", "", "12 to 13", "2014", kUnknown, "ccc", "23.48"},
    {"41", "", "", "12 to 13", "2013", kGiven, "cf", "8.17"},
    {"44", "Чайка", "Breakwater", "12 to 13", "2014", kGiven, "ccf", "17.26"},
    {"47", "Żuraw", "Slipway", "12 to 13", "2013", kGiven, "ccc", "22.65/22.71/22.66"},
    {"52", "תור", "Dry Dock", "12 to 13", "2014", kRefused, "c-", "8.88"},
    {"56", "Sanderling", "North Quay", "12 to 13", "2013", kGiven, "", "", meet::EntryStatus::withdrawn,
     "a sprained wrist in the warm-up"},
    {"58", "갈매기", "Breakwater", "12 to 13", "2014", kGiven, "cc", "16.03", meet::EntryStatus::disqualified,
     "was helped onto the quay deck"},
};

Result<void> set_up(Session& session) {
    const meet::State& state = session.state();
    meet::Rules rules = state.rules();
    rules.appeals.who = {meet::Capacity::athlete, meet::Capacity::coach, meet::Capacity::head_judge};
    rules.appeals.may_worsen = true;
    const meet::Division younger{{1}, "10 to 11", "10 and 11 years", 2015, 2016, "", ""},
        older{{2}, "12 to 13", "12 and 13 years", 2013, 2014, "", ""};
    const meet::Round final_round{{1}, "Final", meet::RoundKind::final, 1};
    return session.apply({"divisions and rounds",
                          {{state.rules(), rules},
                           {std::nullopt, younger},
                           {std::nullopt, older},
                           {std::nullopt, final_round}},
                          0});
}

/// The last athlete of this number: one who was reviewed twice stands in the meet twice.
meet::AthleteId known(const meet::State& state, const std::string& number) {
    meet::AthleteId found;
    for (const auto& [id, athlete] : state.athletes())
        if (athlete.number == number) found = id;
    return found;
}

Result<void> enter(Session& session) {
    const meet::State& state = session.state();
    meet::Change change{"start list", {}, 0};
    std::int64_t next_athlete = state.next_id(meet::Kind::athlete),
                 next_entry = state.next_id(meet::Kind::entry);
    std::map<std::string, std::int32_t> start;
    for (const Athlete& one : kAthletes) {
        meet::Athlete athlete;
        if (const meet::AthleteId id = known(state, one.number); id.valid()) {
            athlete = state.athletes().at(id);
            athlete.born = one.born;
            athlete.consent = one.consent;
            change.edits.push_back({state.athletes().at(id), athlete});
        } else {
            athlete = {{next_athlete++}, one.number, one.name, one.club,
                       one.division,     one.born,   "",       one.consent};
            change.edits.push_back({std::nullopt, athlete});
        }
        meet::Entry entry;
        entry.id = {next_entry++};
        entry.athlete = athlete.id;
        entry.round = {1};
        entry.heat = std::string(one.division) == "10 to 11" ? 1 : 2;
        entry.start = ++start[one.division];
        change.edits.push_back({std::nullopt, entry});
        // The athlete's last run with footage is the one that counts.
        for (auto run = state.runs().rbegin(); run != state.runs().rend(); ++run) {
            if (run->second.athlete != athlete.id) continue;
            meet::Run own = run->second;
            own.entry = entry.id;
            change.edits.push_back({run->second, own});
            break;
        }
    }
    return session.apply(change);
}

const char* judge_at(std::size_t station) {
    constexpr const char* kJudges[] = {"judge at the coil deck", "judge at the gantry", "judge at the quay"};
    return kJudges[std::min<std::size_t>(station, 2)];
}

/// Station by station, as judges call them in.
Result<void> call(Session& session, const Athlete& one, meet::EntryId entry, std::int64_t at_ms) {
    review::MeetCourses courses(session.state());
    const course::CourseBook* book = courses.of_entry(entry);
    if (book == nullptr) return base::Error{base::Category::not_found, "The sample meet has no course.", ""};
    const auto calls = meet::read_calls(one.calls, *book);
    if (!calls) return calls.error();
    std::string last_clear;
    for (std::size_t i = 0; i < book->stations.size(); ++i) {
        const auto given = calls->find(book->stations[i].key);
        if (given == calls->end() || !given->second) continue;
        if (*given->second == meet::Call::clear) last_clear = given->first;
        meet::FloorLine line;
        line.entry = entry;
        line.calls[given->first] = given->second;
        line.judge = judge_at(i);
        line.at = meet::WallTime{at_ms + static_cast<std::int64_t>(i) * 9'000};
        const auto change = meet::floor_change(session.state(), *book, line);
        if (!change) return change.error();
        if (Result<void> done = session.apply(*change); !done) return done;
    }
    auto watches = meet::read_watches(one.time);
    if (!watches) return watches.error();
    if (watches->empty()) return {};
    meet::FloorLine line;
    line.entry = entry;
    const bool all = last_clear == book->stations.back().key;
    line.times[all ? std::string() : last_clear] = std::move(*watches);
    line.judge = "timekeeper";
    const auto change = meet::floor_change(session.state(), *book, line);
    return change ? session.apply(*change) : Result<void>(change.error());
}

Result<void> run_the_floor(Session& session, std::int64_t day_ms) {
    std::int64_t at = day_ms;
    for (const Athlete& one : kAthletes) {
        const meet::AthleteId athlete = known(session.state(), one.number);
        const auto& entries = session.state().entries();
        const auto entry = std::find_if(entries.begin(), entries.end(),
                                        [&](const auto& stored) { return stored.second.athlete == athlete; });
        if (entry == entries.end())
            return base::Error{base::Category::not_found, "Nobody has that number.", ""};
        at += 3 * kMinute;
        if (*one.calls != 0) {
            if (Result<void> called = call(session, one, entry->first, at); !called) return called;
        }
        if (one.status == meet::EntryStatus::entered) continue;
        meet::Entry after = entry->second;
        after.status = one.status;
        after.reason = one.reason;
        const meet::Change change{std::string("status of number ") + one.number, {{entry->second, after}}, 0};
        if (Result<void> done = session.apply(change); !done) return done;
    }
    return {};
}

Result<void> announce(Session& session, std::int64_t at_ms) {
    review::MeetCourses courses(session.state());
    const auto change =
        review::publication_change(session.state(), courses, {}, false, meet::WallTime{at_ms}, "");
    return change ? session.apply(*change) : Result<void>(change.error());
}

Result<void> lodge(Session& session, const std::string& number, const std::string& station,
                   const std::string& point, const std::string& by, meet::Capacity as, std::int64_t at_ms) {
    const meet::State& state = session.state();
    const meet::AthleteId athlete = known(state, number);
    for (const auto& [id, entry] : state.entries()) {
        if (entry.athlete != athlete) continue;
        const meet::Run* run = meet::latest_run(state, id);
        if (run == nullptr) break;
        const auto made = review::lodging(
            state, {{}, run->id, station, point, by, as, {at_ms}, false, meet::AppealStatus::lodged, ""});
        if (!made) return made.error();
        if (!made->refusals.empty())
            return base::Error{base::Category::bad_input, made->refusals.front().sentence, "appeal"};
        return session.apply(made->change);
    }
    return base::Error{base::Category::not_found, "Nobody ran with that number.", number};
}

}  // namespace

Result<void> hold_competition(Session& session, std::int64_t day_ms) {
    if (Result<void> done = set_up(session); !done) return done;
    if (Result<void> done = enter(session); !done) return done;
    if (Result<void> done = run_the_floor(session, day_ms); !done) return done;
    const std::int64_t noon = day_ms + 60 * kMinute;
    if (Result<void> done = announce(session, noon); !done) return done;
    if (Result<void> done = lodge(session, "41", "hawser_swing", "Were both feet on the gantry deck at once?",
                                  "Petrel", meet::Capacity::coach, noon + 6 * kMinute);
        !done)
        return done;
    return lodge(session, "30", "gantry_rungs", "Did a foot touch the second rung?", "Skua",
                 meet::Capacity::head_judge, noon + 11 * kMinute);
}

}  // namespace plumbmark::sample
