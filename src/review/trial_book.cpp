#include "review/trial_book.h"

#include <algorithm>
#include <charconv>
#include <set>

#include "base/worded.h"
#include "course/read.h"
#include "meet/floor_entry.h"
#include "review/internal/trial_ruling.h"
#include "store/meet_file.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

Result<course::StationId> find_station(const course::CourseBook& book, const std::string& key) {
    const course::StationId id = book.find_station(key);
    if (id.valid()) return id;
    std::vector<base::Sentence> keys;
    for (const course::Station& station : book.stations)
        keys.emplace_back("'" + station.key + "'");
    return Error{Category::not_found,
                 worded("The course book has no station '{}'; it has {}.", key, base::listed_words(keys)),
                 ""};
}

/// What a state holds of one station.
study::StationTrials trials_of(const meet::State& state, const course::CourseBook& book,
                               course::StationId station) {
    study::StationTrials trials{book, station, definition_digest(book, station), {}, {}, {}, {}, {}};
    trials.testers = {state.testers().begin(), state.testers().end()};
    const std::string& key = book.station(station).key;
    const auto take = [&key](const auto& things, auto& into) {
        for (const auto& [id, thing] : things) {
            if (thing.station == key) into.push_back(thing);
        }
    };
    take(state.rigs(), trials.rigs);
    take(state.closings(), trials.closings);
    take(state.releases(), trials.releases);
    return trials;
}

std::vector<std::string> unknown_stations(const meet::State& state, const course::CourseBook& book) {
    std::set<std::string> unknown;
    const auto look = [&](const auto& things) {
        for (const auto& [id, thing] : things) {
            if (!book.find_station(thing.station).valid()) unknown.insert(thing.station);
        }
    };
    look(state.rigs());
    look(state.trials());
    look(state.closings());
    look(state.releases());
    return {unknown.begin(), unknown.end()};
}

std::optional<int> year_of(const std::string& date) {
    constexpr std::size_t kDigits = 4;
    int year = 0;
    if (date.size() < kDigits) return std::nullopt;
    const auto [end, problem] = std::from_chars(date.data(), date.data() + kDigits, year);
    if (problem != std::errc{} || end != date.data() + kDigits) return std::nullopt;
    return year;
}

const meet::RigState* latest_rig(const meet::State& state, const std::string& station) {
    const meet::RigState* latest = nullptr;
    for (const auto& [id, rig] : state.rigs()) {
        if (rig.station == station) latest = &rig;
    }
    return latest;
}

}  // namespace

Result<course::CourseBook> book_of_trials(const meet::State& state) {
    const auto stored = state.books().find(meet::newest_book(state));
    if (stored == state.books().end())
        return Error{Category::not_found,
                     worded("The meet has no course book yet, so there are no stations to try."), ""};
    return course::read_book_or_error(stored->second.text, stored->second.file_name);
}

std::string definition_digest(const course::CourseBook& book, course::StationId station) {
    return store::sha256_hex(study::definition_text(book, station));
}

Result<TrialBook> trial_book(const meet::State& state, const TableOf& table_of, const TrialBookWish& wish) {
    const Result<course::CourseBook> book = book_of_trials(state);
    if (!book) return book.error();
    std::vector<course::StationId> wanted;
    if (!wish.station.empty()) {
        const Result<course::StationId> station = find_station(*book, wish.station);
        if (!station) return station.error();
        wanted.push_back(*station);
    } else {
        for (std::size_t i = 0; i < book->stations.size(); ++i)
            wanted.push_back({static_cast<std::int64_t>(i)});
    }
    TrialBook made{state.info().name, book->name, book->revision, {}, unknown_stations(state, *book), {}};
    for (const course::Surface& surface : book->surfaces)
        made.surfaces[surface.key] = surface.name;
    internal::TrialRulings rulings(state, table_of, wish.stopped);
    std::size_t done = 0;
    for (const course::StationId station : wanted) {
        study::StationTrials trials = trials_of(state, *book, station);
        for (const auto& [id, trial] : state.trials()) {
            if (trial.station != book->station(station).key) continue;
            Result<study::TrialResult> result = rulings.of(trial);
            if (!result) return result.error();
            trials.results.push_back(std::move(*result));
            if (wish.progress)
                wish.progress(static_cast<double>(++done) / static_cast<double>(state.trials().size()));
        }
        Result<study::StationReport> report = study::station_report(trials, wish.trials);
        if (!report) return report.error();
        made.stations.push_back({std::move(*report), std::move(trials.results),
                                 study::course_steps(*book, station, wish.people)});
    }
    return made;
}

Result<std::vector<study::PeopleOfAge>> people_of_divisions(const meet::State& state,
                                                            const std::string& division,
                                                            const std::optional<study::Sex>& sex) {
    std::vector<study::PeopleOfAge> people;
    std::vector<base::Sentence> keys;
    bool found = division.empty();
    const std::optional<int> year = year_of(state.info().date);
    for (const auto& [id, one] : state.divisions()) {
        keys.emplace_back("'" + one.key + "'");
        if (!division.empty() && one.key != division) continue;
        found = true;
        std::set<int> ages;
        if (year && one.born_to) ages.insert(*year - *one.born_to);
        if (year && one.born_from) ages.insert(*year - *one.born_from);
        for (const int age : ages) {
            for (const study::Sex of : {study::Sex::female, study::Sex::male}) {
                const bool there = std::any_of(
                    people.begin(), people.end(),
                    [&](const study::PeopleOfAge& known) { return known.sex == of && known.years == age; });
                if (!there && age > 0 && (!sex || *sex == of)) people.push_back({of, age});
            }
        }
    }
    if (found) return people;
    if (keys.empty()) return Error{Category::not_found, worded("The meet has no divisions yet."), ""};
    return Error{Category::not_found,
                 worded("The meet has no division '{}'; it has {}.", division, base::listed_words(keys)), ""};
}

Result<meet::Change> tester_change(const meet::State& state, meet::Tester tester) {
    tester.id = {state.next_id(meet::Kind::tester)};
    if (Result<void> fit = meet::check_values(tester); !fit) return fit.error();
    return meet::Change{base::to_translate("add a tester"), {{std::nullopt, std::move(tester)}}, 0};
}

Result<meet::Change> rig_change(const meet::State& state, const std::filesystem::path& meet_file,
                                meet::RigState rig, const std::vector<std::filesystem::path>& photos) {
    const Result<course::CourseBook> book = book_of_trials(state);
    if (!book) return book.error();
    const Result<course::StationId> station = find_station(*book, rig.station);
    if (!station) return station.error();
    for (const std::filesystem::path& photo : photos) {
        Result<meet::RigPhoto> read = internal::photo_of(meet_file, photo);
        if (!read) return read.error();
        rig.photos.push_back(std::move(*read));
    }
    rig.id = {state.next_id(meet::Kind::rig)};
    if (Result<void> fit = meet::check_values(rig); !fit) return fit.error();
    return meet::Change{base::to_translate("write down a rig"), {{std::nullopt, std::move(rig)}}, 0};
}

Result<meet::Change> trial_change(const meet::State& state, meet::Trial trial) {
    const Result<course::CourseBook> book = book_of_trials(state);
    if (!book) return book.error();
    const Result<course::StationId> id = find_station(*book, trial.station);
    if (!id) return id.error();
    const course::Station& station = book->station(*id);
    if (!trial.rig.valid()) {
        const meet::RigState* rig = latest_rig(state, trial.station);
        if (rig == nullptr)
            return Error{
                Category::not_found,
                worded("No rig of the station '{}' was written down yet; add it first.", trial.station), ""};
        trial.rig = rig->id;
    }
    if (trial.start.empty()) {
        if (station.start.size() != 1)
            return Error{Category::not_found,
                         worded("The station '{}' has several starts; say from which one.", trial.station),
                         ""};
        trial.start = book->surface(station.start.front()).key;
    }
    const bool cleared = trial.seen == meet::TrialOutcome::cleared;
    if (trial.landing.empty() && cleared) {
        if (station.landing.surfaces.size() != 1)
            return Error{Category::not_found,
                         worded("The station '{}' has not one landing alone; say on which surface it ended.",
                                trial.station),
                         ""};
        trial.landing = book->surface(station.landing.surfaces.front()).key;
    }
    std::sort(trial.items.begin(), trial.items.end());
    trial.items.erase(std::unique(trial.items.begin(), trial.items.end()), trial.items.end());
    trial.id = {state.next_id(meet::Kind::trial)};
    if (Result<void> fit = meet::check_values(trial); !fit) return fit.error();
    return meet::Change{base::to_translate("add a trial"), {{std::nullopt, std::move(trial)}}, 0};
}

Result<meet::Change> closing_change(const meet::State& state, const study::StationReport& report,
                                    const std::string& question, const std::string& reason) {
    const bool asked = std::any_of(report.questions.begin(), report.questions.end(),
                                   [&](const study::Question& one) { return one.key == question; });
    if (!asked)
        return Error{Category::not_found,
                     worded("The station '{}' has no question '{}'.", report.key, question), ""};
    meet::Edit edit;
    meet::Closing closing;
    closing.id = {state.next_id(meet::Kind::closing)};
    closing.station = report.key;
    closing.item = study::closing_item(question, report.definition);
    for (const auto& [id, known] : state.closings()) {
        if (known.station != closing.station || known.item != closing.item) continue;
        closing.id = id;
        edit.before = known;
    }
    closing.reason = reason;
    if (Result<void> fit = meet::check_values(closing); !fit) return fit.error();
    edit.after = std::move(closing);
    return meet::Change{base::to_translate("close a question"), {std::move(edit)}, 0};
}

Result<meet::Change> release_change(const meet::State& state, const study::StationReport& report,
                                    const std::string& signs, const std::string& note, meet::WallTime at) {
    if (!report.rig)
        return Error{Category::bad_input,
                     worded("No rig of the station '{}' was written down yet; add it first.", report.key),
                     ""};
    const auto open = report.open();
    if (!open.empty())
        return Error{
            Category::bad_input,
            base::worded_n("{} question of the station '{}' is open; close it with a reason, or have "
                           "it tried: '{}'.",
                           "{} questions of the station '{}' are open; close each with a reason, or "
                           "have it tried. The first is '{}'.",
                           static_cast<std::int64_t>(open.size()), report.key, open.front()->key),
            ""};
    meet::Release release{{state.next_id(meet::Kind::release)},
                          report.key,
                          report.definition,
                          report.rig->id,
                          signs,
                          note,
                          at.ms};
    if (Result<void> fit = meet::check_values(release); !fit) return fit.error();
    return meet::Change{base::to_translate("release a station"), {{std::nullopt, std::move(release)}}, 0};
}

}  // namespace plumbmark::review
