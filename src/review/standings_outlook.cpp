#include "review/standings_outlook.h"

#include "base/worded.h"
#include "meet/appeals.h"
#include "review/internal/spoken.h"

namespace plumbmark::review {
namespace {

const char* cause_words(meet::MoveCause cause) {
    switch (cause) {
        case meet::MoveCause::came:
            return base::spoken("came in");
        case meet::MoveCause::went:
            return base::spoken("went out");
        case meet::MoveCause::own_result:
            return base::spoken("its own result changed");
        case meet::MoveCause::others:
            return base::spoken("others moved");
    }
    return "";
}

class Outlook {
  public:
    Outlook(const meet::State& state, MeetCourses& courses) : state_(state), courses_(courses) {}

    TableOutlook of(const meet::Standings& standings, const meet::Publication* last) {
        TableOutlook outlook;
        if (last != nullptr) {
            outlook.last = *last;
            const auto lines = meet::published_lines(standings, state_.rules().times);
            outlook.same = last->lines == lines;
            for (const meet::Move& move : meet::moves(last->lines, lines))
                outlook.moved.push_back(move_words(state_, move) + ": " + cause_words(move.cause));
        }
        for (const meet::Line& line : standings.lines)
            add_awaited(line, outlook.awaits);
        return outlook;
    }

  private:
    void add_awaited(const meet::Line& line, std::vector<std::string>& awaits) {
        const std::string& number = state_.athletes().at(state_.entries().at(line.entry).athlete).number;
        if (line.status == meet::LineStatus::awaited)
            awaits.push_back(format_spoken("number {} has not run yet", number));
        if (line.status != meet::LineStatus::placed || line.result.complete) return;
        const std::size_t before = awaits.size();
        for (const auto& [id, appeal] : state_.appeals()) {
            const bool waits = appeal.run == line.run && appeal.status == meet::AppealStatus::lodged &&
                               meet::decision_on(state_, id) == nullptr;
            if (waits)
                awaits.push_back(format_spoken("number {}: appeal {} is not decided", number, id.value));
        }
        if (line.result.rerun_granted) awaits.push_back(format_spoken("number {}: the re-run", number));
        const auto& stations = line.result.stations;
        bool failed = false;
        for (const meet::StationResult& station : stations) {
            // After a fail, calls are only missing where nothing else is.
            if (!station.call && (!failed || awaits.size() == before)) {
                awaits.push_back(
                    format_spoken("number {}: the call at '{}'", number, name_of(line.run, station.station)));
                break;
            }
            failed |= station.call == meet::Call::fail;
        }
        if (awaits.size() == before) awaits.push_back(format_spoken("number {}: the re-run", number));
    }

    std::string name_of(meet::RunId run, const std::string& key) {
        const course::CourseBook* book = courses_.of(state_.runs().at(run));
        const course::StationId station = book != nullptr ? book->find_station(key) : course::StationId{};
        return station.valid() ? book->station(station).name : key;
    }

    const meet::State& state_;
    MeetCourses& courses_;
};

}  // namespace

StandingsOutlook standings_outlook(const meet::State& state, const std::function<bool()>& stopped) {
    MeetCourses courses(state);
    StandingsOutlook outlook;
    outlook.standings = meet::Results(state, courses.sources({}, stopped)).all();
    outlook.document = document_of(state, outlook.standings);
    const auto published = latest_publications(state);
    Outlook maker(state, courses);
    for (const meet::Standings& standings : outlook.standings) {
        const auto last = published.find({standings.round, standings.division});
        outlook.tables.push_back(maker.of(standings, last == published.end() ? nullptr : last->second));
    }
    return outlook;
}

GivingOut giving_out(const meet::State& state, const StandingsOutlook& outlook, bool official) {
    GivingOut giving;
    const auto change = publication_of(state, outlook.standings, official, now(), "");
    if (!change) {
        giving.refusal = change.error().sentence;
        return giving;
    }
    for (const meet::Edit& edit : change->edits) {
        const auto& publication = std::get<meet::Publication>(*edit.after);
        giving.tables.push_back(
            base::worded("{} ({})", table_name(state, publication.round, publication.division),
                         base::worded_n("{} line", "{} lines", std::ssize(publication.lines))));
    }
    return giving;
}

}  // namespace plumbmark::review
