#include "review/competition.h"

#include <chrono>
#include <map>
#include <tuple>

#include "base/catalogue.h"
#include "base/check.h"
#include "base/worded.h"
#include "course/read.h"
#include "meet/floor_entry.h"
#include "meet/who_ran.h"
#include "review/documents.h"
#include "review/internal/spoken.h"
#include "store/meet_file.h"

namespace plumbmark::review {

struct MeetCourses::Inner {
    using Key = std::tuple<meet::BookId, std::string, std::string>;

    const meet::State& state;
    std::map<meet::BookId, std::optional<course::CourseBook>> whole;
    std::map<Key, std::optional<ruling::PreparedCourse>> parts;
    std::map<std::string, std::string> course_of_division;  ///< by key: looked up once for all runs

    const std::optional<course::CourseBook>& whole_book(meet::BookId id) {
        const auto known = whole.find(id);
        if (known != whole.end()) return known->second;
        const auto stored = state.books().find(id);
        std::optional<course::CourseBook> book;
        if (stored != state.books().end()) book = course::read_book(stored->second.text).book;
        return whole.emplace(id, std::move(book)).first->second;
    }

    [[nodiscard]] std::string division_of(const meet::Run& run) const {
        if (!run.division.empty() || !run.entry.valid()) return run.division;
        const meet::Athlete& athlete = state.athletes().at(state.entries().at(run.entry).athlete);
        const auto course = course_of_division.find(athlete.division);
        return course == course_of_division.end() ? std::string() : course->second;
    }

    const ruling::PreparedCourse* of(const meet::Run& run) {
        const Key key{run.book, division_of(run), course_lane(state, run)};
        auto known = parts.find(key);
        if (known == parts.end()) {
            std::optional<ruling::PreparedCourse> part;
            if (const auto& book = whole_book(run.book)) {
                base::Result<course::CourseBook> cut =
                    course::run_book(*book, std::get<1>(key), std::get<2>(key));
                if (cut) part.emplace(std::move(*cut));
            }
            known = parts.emplace(key, std::move(part)).first;
        }
        return known->second ? &*known->second : nullptr;
    }

    const course::CourseBook* book_of(const meet::Run& run) {
        const ruling::PreparedCourse* course = of(run);
        return course == nullptr ? nullptr : &course->book();
    }

    std::optional<meet::TimeRange> footage_time(const meet::Run& run, const TableOf& table_of) {
        if (run.clips.empty()) return std::nullopt;
        const ruling::PreparedCourse* course = of(run);
        if (course == nullptr) return std::nullopt;
        const auto no_table = [](meet::ClipId) { return std::shared_ptr<const media::FrameTable>(); };
        const auto evidence = run_evidence(state, run.id, course->book(), table_of ? table_of : no_table);
        if (!evidence) return std::nullopt;
        ruling::Settings settings;
        settings.explain = settings.sentences = false;
        const auto ruled = ruling::rule_run(*course, evidence->evidence, settings);
        if (!ruled || !ruled->split_low || !ruled->split_high) return std::nullopt;
        // More than the one, at most the other.
        return meet::TimeRange{*ruled->split_low + base::Duration{1}, *ruled->split_high};
    }
};

MeetCourses::MeetCourses(const meet::State& state) : inner_(new Inner{state, {}, {}, {}}) {
    for (const auto& [id, division] : state.divisions())
        inner_->course_of_division.emplace(division.key, division.course);
}
MeetCourses::~MeetCourses() = default;
MeetCourses::MeetCourses(MeetCourses&&) noexcept = default;

const course::CourseBook* MeetCourses::of(const meet::Run& run) {
    return inner_->book_of(run);
}

const course::CourseBook* MeetCourses::of_entry(meet::EntryId entry, bool rerun) {
    const meet::Run* run = meet::latest_run(inner_->state, entry);
    if (run != nullptr && !rerun) return of(*run);
    meet::Run fresh;
    fresh.entry = entry;
    fresh.book = meet::newest_book(inner_->state);
    return of(fresh);
}

meet::Sources MeetCourses::sources(const TableOf& table_of, const std::function<bool()>& stopped) {
    return {
        [inner = inner_.get()](const meet::Run& run) { return inner->book_of(run); },
        [inner = inner_.get(), table_of, stopped](const meet::Run& run) -> std::optional<meet::TimeRange> {
            if (stopped && stopped()) return std::nullopt;
            return inner->footage_time(run, table_of);
        }};
}

std::string course_division(const meet::State& state, const meet::Run& run) {
    if (!run.division.empty() || !run.entry.valid()) return run.division;
    const meet::Athlete& athlete = state.athletes().at(state.entries().at(run.entry).athlete);
    const meet::Division* division = meet::division_with_key(state, athlete.division);
    return division != nullptr ? division->course : std::string();
}

std::string course_lane(const meet::State& state, const meet::Run& run) {
    if (!run.lane.empty() || !run.entry.valid()) return run.lane;
    return state.entries().at(run.entry).lane;
}

std::map<std::pair<meet::RoundId, meet::DivisionId>, const meet::Publication*> latest_publications(
    const meet::State& state) {
    std::map<std::pair<meet::RoundId, meet::DivisionId>, const meet::Publication*> found;
    for (const auto& [id, publication] : state.publications())
        found[{publication.round, publication.division}] = &publication;
    return found;
}

std::string table_name(const meet::State& state, meet::RoundId round, meet::DivisionId division) {
    const std::string& name = state.rounds().at(round).name;
    return (name.empty() ? "" : name + ", ") + state.divisions().at(division).key;
}

namespace {

/// Why these results cannot be official yet.
base::Sentence still_waiting(const meet::State& state, const meet::Standings& standings) {
    std::vector<std::string> numbers;
    for (const meet::Line& line : standings.lines) {
        const bool done = line.status == meet::LineStatus::placed ? line.result.complete
                                                                  : line.status != meet::LineStatus::awaited;
        if (!done) numbers.push_back(state.athletes().at(state.entries().at(line.entry).athlete).number);
    }
    const std::string table = table_name(state, standings.round, standings.division);
    const base::Sentence awaited = base::listed_words({numbers.begin(), numbers.end()});
    return numbers.size() == 1 ? base::worded(
                                     "The results of {} still wait for number {}. Announce them, or "
                                     "enter what is missing.",
                                     table, awaited)
                               : base::worded(
                                     "The results of {} still wait for numbers {}. Announce them, "
                                     "or enter what is missing.",
                                     table, awaited);
}

std::string place_words(const std::optional<std::int32_t>& place) {
    return place ? format_spoken("place {}", *place) : base::spoken("no place");
}

/// The tables that are wished for; no others are worked out.
std::vector<meet::Standings> wished(const meet::State& state, MeetCourses& courses,
                                    const StandingsWish& wish) {
    const meet::Results results(state, courses.sources());
    std::vector<meet::Standings> found;
    for (const auto& [round, division] : results.tables()) {
        const bool wanted =
            (!wish.round || *wish.round == round) && (!wish.division || *wish.division == division);
        if (wanted) found.push_back(results.standings(round, division));
    }
    return found;
}

report::StandingsLine line_of(const meet::State& state, meet::Line line) {
    const meet::Entry& entry = state.entries().at(line.entry);
    const meet::Athlete& athlete = state.athletes().at(entry.athlete);
    return {athlete.number, athlete.name, athlete.club, entry.heat, entry.reason, std::move(line)};
}

}  // namespace

std::string move_words(const meet::State& state, const meet::Move& move) {
    const std::string& number = state.athletes().at(state.entries().at(move.entry).athlete).number;
    if (!move.from && !move.to) return format_spoken("number {} has no place, with another status", number);
    if (move.from == move.to)
        return format_spoken("number {} stays at {} with another result", number, place_words(move.to));
    return format_spoken("number {} moves from {} to {}", number, place_words(move.from),
                         place_words(move.to));
}

report::StandingsDocument standings_document(const meet::State& state, MeetCourses& courses,
                                             const StandingsWish& wish) {
    return document_of(state, wished(state, courses, wish));
}

report::StandingsDocument document_of(const meet::State& state, std::vector<meet::Standings> all) {
    report::StandingsDocument document;
    document.program_version = program_version();
    document.meet_name = state.info().name;
    document.venue = state.info().venue;
    document.date = state.info().date;
    document.rules = state.rules();
    const auto published = latest_publications(state);
    for (meet::Standings& standings : all) {
        report::StandingsTable table;
        table.round = state.rounds().at(standings.round).name;
        table.division_key = state.divisions().at(standings.division).key;
        table.division = state.divisions().at(standings.division).name;
        table.final = standings.final;
        const auto given = published.find({standings.round, standings.division});
        if (given != published.end() &&
            given->second->lines == meet::published_lines(standings, state.rules().times)) {
            table.published = given->second->id;
            table.official = given->second->official;
        }
        table.lines.reserve(standings.lines.size());
        for (meet::Line& line : standings.lines)
            table.lines.push_back(line_of(state, std::move(line)));
        document.tables.push_back(std::move(table));
    }
    return document;
}

base::Result<meet::Change> publication_change(const meet::State& state, MeetCourses& courses,
                                              const StandingsWish& wish, bool official, meet::WallTime at,
                                              const std::string& note) {
    return publication_of(state, wished(state, courses, wish), official, at, note);
}

base::Result<meet::Change> publication_of(const meet::State& state, const std::vector<meet::Standings>& all,
                                          bool official, meet::WallTime at, const std::string& note) {
    const auto published = latest_publications(state);
    meet::Change change;
    change.label = official ? base::to_translate("publish results") : base::to_translate("announce results");
    std::int64_t next = state.next_id(meet::Kind::publication);
    for (const meet::Standings& standings : all) {
        if (official && !standings.final)
            return base::Error{base::Category::bad_input, still_waiting(state, standings), ""};
        const auto lines = meet::published_lines(standings, state.rules().times);
        const auto given = published.find({standings.round, standings.division});
        const bool same = given != published.end() && given->second->lines == lines &&
                          (given->second->official || !official);
        if (same) continue;
        change.edits.push_back(
            {std::nullopt,
             meet::Publication{{next++}, standings.round, standings.division, at, official, lines, note}});
    }
    if (change.edits.empty())
        return base::Error{base::Category::bad_input,
                           base::worded("There is nothing to give out that was not given out before."), ""};
    return change;
}

std::vector<std::string> effect_on_standings(const meet::State& state, const meet::Change& change,
                                             const std::function<bool()>& stopped) {
    meet::State after = state;
    PLUMBMARK_CHECK(after.apply(change).ok());
    MeetCourses courses_before(state), courses_after(after);
    std::map<std::pair<meet::RoundId, meet::DivisionId>, std::vector<meet::PublishedLine>> before;
    for (const meet::Standings& standings : meet::Results(state, courses_before.sources({}, stopped)).all())
        before[{standings.round, standings.division}] = meet::published_lines(standings, state.rules().times);
    std::vector<std::string> sentences;
    for (const meet::Standings& standings : meet::Results(after, courses_after.sources({}, stopped)).all()) {
        const auto lines = meet::published_lines(standings, after.rules().times);
        for (const meet::Move& move : meet::moves(before[{standings.round, standings.division}], lines)) {
            sentences.push_back(table_name(after, standings.round, standings.division) + ": " +
                                move_words(after, move) + ".");
        }
    }
    return sentences;
}

base::Result<meet::State> change_meet(
    const std::filesystem::path& meet_file,
    const std::function<base::Result<meet::Change>(const meet::State&)>& make) {
    base::Result<store::MeetFile> file = store::MeetFile::open(meet_file);
    if (!file) return file.error();
    meet::State state = file->loaded();
    const base::Result<meet::Change> change = make(state);
    if (!change) return change.error();
    if (change->edits.empty()) return state;
    if (base::Result<void> applied = state.apply(*change); !applied) return applied.error();
    file->submit(*change);
    if (base::Result<void> written = file->flush(); !written) return written.error();
    return state;
}

meet::WallTime now() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

}  // namespace plumbmark::review
