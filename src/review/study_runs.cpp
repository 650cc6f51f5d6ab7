#include "review/study_runs.h"

#include <set>
#include <utility>

#include "base/worded.h"
#include "course/read.h"
#include "meet/who_ran.h"
#include "review/competition.h"
#include "review/evidence.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
using report::LaidOpen;

Error cancelled() {
    return {Category::cancelled, worded("Stopped before every run was laid open; nothing was changed."), ""};
}

/// What keeps every length of a clip from being known.
std::vector<base::Sentence> notes_of(const meet::State& state, const ruling::Evidence& evidence,
                                     const meet::Run& run) {
    std::vector<base::Sentence> notes;
    for (std::size_t i = 0; i < evidence.clips.size() && i < run.clips.size(); ++i) {
        if (!evidence.clips[i].durations_known)
            notes.push_back(worded("{} shows order only: when its pictures were taken is not known",
                                   state.clips().at(run.clips[i]).name));
    }
    return notes;
}

}  // namespace

RunStudy::RunStudy(const meet::State& state, const std::filesystem::path& file)
    : state_(state), file_(file.filename().string()) {}

const RunStudy::Course& RunStudy::course_of(const meet::Run& run) {
    const Key key{run.book, course_division(state_, run), course_lane(state_, run)};
    if (const auto known = courses_.find(key); known != courses_.end()) return known->second;
    const auto made = [&]() -> Course {
        const auto stored = state_.books().find(run.book);
        if (stored == state_.books().end())
            return {"", Error{Category::bad_input,
                              worded("The run has no course book; give the meet one with 'plumbmark "
                                     "course'."),
                              ""}};
        Result<course::CourseBook> whole =
            course::read_book_or_error(stored->second.text, stored->second.file_name);
        if (!whole) return {"", whole.error()};
        Result<course::CourseBook> own = course::run_book(*whole, std::get<1>(key), std::get<2>(key));
        if (!own) return {whole->revision, own.error()};
        return {whole->revision, std::make_shared<const ruling::PreparedCourse>(std::move(*own))};
    };
    return courses_.emplace(key, made()).first->second;
}

Result<std::shared_ptr<const LaidOpen>> RunStudy::open(meet::RunId id, const std::stop_token& stop) {
    const auto stored = state_.runs().find(id);
    if (stored == state_.runs().end())
        return Error{Category::not_found, worded("There is no such run in this meet."), ""};
    const meet::Run& run = stored->second;
    const auto in_run = [&run](Error error) {
        error.where = error.where.empty() ? base::Sentence(run.label)
                                          : base::Sentence(run.label + ", " + error.where.english(),
                                                           run.label + ", " + error.where.spoken());
        return error;
    };
    const Course& course = course_of(run);
    if (!course.prepared) return in_run(course.prepared.error());
    if (state_.marks_of(run.id).empty())
        return in_run({Category::not_found, worded("Nothing is marked on this run yet."), ""});
    const auto no_table = [](meet::ClipId) { return nullptr; };
    Result<RunEvidence> evidence = run_evidence(state_, run.id, (*course.prepared)->book(), no_table);
    if (!evidence) return in_run(evidence.error());
    ruling::Settings settings;
    settings.stopped = [stop] { return stop.stop_requested(); };
    settings.explain = false;
    settings.sentences = false;
    Result<study::StudiedRun> laid = study::lay_open(**course.prepared, evidence->evidence, settings);
    if (!laid) return in_run(laid.error());
    const std::shared_ptr<const ruling::PreparedCourse>& kept = *course.prepared;
    auto open = std::make_shared<LaidOpen>(
        LaidOpen{run_name(state_, run, file_), course.revision,
                 std::shared_ptr<const course::CourseBook>(kept, &kept->book()), std::move(*laid)});
    open->notes = notes_of(state_, open->run.evidence, run);
    return std::shared_ptr<const LaidOpen>(std::move(open));
}

Result<OpenedRuns> open_runs(const meet::State& state, const std::filesystem::path& file,
                             const OpenRunsOptions& options) {
    OpenedRuns opened;
    RunStudy study(state, file);
    std::size_t done = 0;
    for (const auto& [id, run] : state.runs()) {
        if (options.stop.stop_requested()) return cancelled();
        ++done;
        if (options.wanted && !options.wanted(run)) continue;
        auto laid = study.open(id, options.stop);
        if (laid) {
            opened.ids.push_back(id);
            opened.runs.push_back(std::move(*laid));
        } else if (laid.error().category == Category::cancelled) {
            return cancelled();
        } else {
            opened.not_opened.push_back(
                {run_name(state, run, file), laid.error(), state.marks_of(run.id).empty()});
        }
        if (options.progress)
            options.progress(static_cast<double>(done) / static_cast<double>(state.runs().size()));
    }
    return opened;
}

std::vector<meet::RunId> other_runs_of(const meet::State& state, meet::RunId mine) {
    const meet::Athlete* athlete = meet::athlete_of(state, state.runs().at(mine));
    std::vector<meet::RunId> runs;
    for (const auto& [id, run] : state.runs()) {
        const meet::Athlete* who = meet::athlete_of(state, run);
        // A start list that was entered twice has one person twice.
        const bool same = athlete && who &&
                          (who == athlete || (!who->name.empty() && who->name == athlete->name &&
                                              who->number == athlete->number));
        if (same && id != mine) runs.push_back(id);
    }
    return runs;
}

Result<std::vector<meet::RunId>> runs_of_division(const meet::State& state, const std::string& key,
                                                  meet::RunId mine) {
    std::vector<meet::RunId> runs;
    std::set<std::string> keys;
    bool known = meet::division_with_key(state, key) != nullptr;
    for (const auto& [id, run] : state.runs()) {
        const meet::Athlete* athlete = meet::athlete_of(state, run);
        for (const std::string& have : {run.division, athlete ? athlete->division : std::string()}) {
            if (!have.empty()) keys.insert(have);
        }
        const bool in = run.division == key || (athlete && athlete->division == key);
        known |= in;
        if (in && id != mine) runs.push_back(id);
    }
    if (known) return runs;
    std::vector<base::Sentence> all;
    for (const std::string& have : keys)
        all.emplace_back("'" + have + "'");
    return Error{Category::not_found,
                 all.empty() ? worded("No run of this meet is in a division.")
                             : worded("No run of this meet is in a division '{}'; they are in {}.", key,
                                      base::listed_words(all)),
                 ""};
}

report::RunName run_name(const meet::State& state, const meet::Run& run, const std::filesystem::path& file) {
    report::RunName name{file.filename().string(), state.info().name, state.info().date, run.label, "", ""};
    if (const meet::Athlete* athlete = meet::athlete_of(state, run)) {
        name.number = athlete->number;
        name.athlete = athlete->name;
    }
    return name;
}

}  // namespace plumbmark::review
