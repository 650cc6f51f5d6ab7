#include "review/what_if.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "base/worded.h"
#include "course/read.h"
#include "review/documents.h"
#include "review/internal/clip_source.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

class Courses;

/// How one side rules.
struct Way {
    const WhatIf* change = nullptr;  ///< null: as it stands
    Courses& courses;
    const TableOf& table_of;
    const std::function<bool()>& stopped;
    bool explain = false;  ///< with reasons in full, which take longer
};

/// A course as some runs are ruled under it.
struct Course {
    std::string revision;  ///< of the whole book, where that reads
    Result<ruling::PreparedCourse> own;
};

/// Reads and prepares each book once, for all runs of one division and lane.
class Courses {
  public:
    Courses(const meet::State& state, const WhatIf& change) : state_(state), change_(change) {}

    const Course& of(const meet::Run& run, bool changed) {
        const Key key{changed, run.book, run.division, run.lane};
        const auto known = courses_.find(key);
        return known != courses_.end() ? known->second
                                       : courses_.emplace(key, made(run, changed)).first->second;
    }

  private:
    using Key = std::tuple<bool, meet::BookId, std::string, std::string>;

    /// The book as its author wrote it, or the edited one in its place.
    [[nodiscard]] Result<course::CourseBook> whole_book(const meet::Run& run, bool changed) const {
        if (changed && change_.book) return *change_.book;
        const auto stored = state_.books().find(run.book);
        if (stored == state_.books().end())
            return Error{Category::not_found, worded("This run has no course book."), ""};
        return course::read_book_or_error(stored->second.text, stored->second.file_name);
    }
    [[nodiscard]] Course made(const meet::Run& run, bool changed) const {
        Result<course::CourseBook> whole = whole_book(run, changed);
        if (!whole) return {"", whole.error()};
        Result<course::CourseBook> own = course::run_book(*whole, run.division, run.lane);
        if (!own) return {whole->revision, own.error()};
        if (changed) {
            for (const auto& apply : change_.of_book)
                apply(*own);
        }
        return {whole->revision, ruling::PreparedCourse(std::move(*own))};
    }

    const meet::State& state_;
    const WhatIf& change_;
    std::map<Key, Course> courses_;
};

Result<ruling::RunRuling> rule(const meet::State& state, const meet::Run& run,
                               const ruling::PreparedCourse& course, const Way& way) {
    const base::Duration row_delay =
        way.change ? way.change->row_delay.value_or(kDefaultRowDelay) : kDefaultRowDelay;
    Result<RunEvidence> evidence = run_evidence(state, run.id, course.book(), way.table_of, row_delay);
    if (!evidence) return evidence.error();
    ruling::Settings settings;
    settings.stopped = way.stopped;
    settings.explain = way.explain;
    if (way.change && way.change->drift_parts_per_million)
        settings.drift_parts_per_million = *way.change->drift_parts_per_million;
    return ruling::rule_run(course, evidence->evidence, settings);
}

/// Error cancelled alone; every other one is the side's.
Result<report::RuledSide> ruled_side(const meet::State& state, const meet::Run& run, const Way& way) {
    report::RuledSide side;
    const Course& course = way.courses.of(run, way.change != nullptr);
    side.revision = course.revision;
    if (!course.own) {
        side.error = course.own.error();
        return side;
    }
    Result<ruling::RunRuling> ruling = rule(state, run, *course.own, way);
    if (!ruling && ruling.error().category == Category::cancelled) return ruling.error();
    side.book = course.own->book();
    if (ruling)
        side.ruling = std::move(*ruling);
    else
        side.error = ruling.error();
    return side;
}

std::vector<const meet::Run*> runs_of(const meet::State& state, const std::optional<meet::RunId>& only) {
    std::vector<const meet::Run*> runs;
    for (const auto& [id, run] : state.runs()) {
        if (!only || *only == id) runs.push_back(&run);
    }
    return runs;
}

Error cancelled() {
    return {Category::cancelled, worded("Stopped before every run was ruled; nothing was changed."), ""};
}

/// Both sides of one run. What changes is ruled once more with its reasons in full. Error cancelled alone.
Result<report::RunCompared> compared_run(const meet::State& state, const meet::Run& run, Way way,
                                         const WhatIf& change, const std::function<void()>& half_done) {
    report::RunCompared compared;
    compared.label = run.label;
    for (way.explain = false;; way.explain = true) {
        for (const WhatIf* side : {static_cast<const WhatIf*>(nullptr), &change}) {
            if (way.stopped && way.stopped()) return cancelled();
            way.change = side;
            auto ruled = ruled_side(state, run, way);
            if (!ruled) return ruled.error();
            report::RuledSide& place = side ? compared.after : compared.before;
            // Reasons may be beyond the budget of a ruling that was reached without them.
            if (!way.explain || ruled->ruling) place = std::move(*ruled);
            if (!way.explain) half_done();
        }
        if (way.explain || change_of(compared) != report::RunChange::changed) return compared;
    }
}

}  // namespace

Result<report::WhatIfDocument> what_if(const meet::State& state, const WhatIf& change,
                                       const TableOf& table_of, const WhatIfOptions& options) {
    const std::vector<const meet::Run*> runs = runs_of(state, options.run);
    if (options.run && runs.empty())
        return Error{Category::not_found, worded("There is no such run in this meet."), ""};
    report::WhatIfDocument document;
    document.program_version = program_version();
    document.meet_name = state.info().name;
    document.settings = change.settings;
    if (change.book) {
        document.book_file = change.book_file;
        document.book_revision = change.book->revision;
    }
    Courses courses(state, change);
    std::size_t halves = 0;
    const auto half_done = [&] {
        ++halves;
        if (options.progress)
            options.progress(static_cast<double>(halves) / static_cast<double>(2 * runs.size()));
    };
    for (const meet::Run* run : runs) {
        auto compared = compared_run(state, *run, {nullptr, courses, table_of, options.stopped, false},
                                     change, half_done);
        if (!compared) return cancelled();
        document.runs.push_back(std::move(*compared));
    }
    return document;
}

Result<FrameTables> frame_tables(const std::filesystem::path& meet_folder, const meet::State& state,
                                 const std::optional<meet::RunId>& run, std::stop_token stop,
                                 const std::function<void(double)>& progress) {
    std::set<meet::ClipId> wanted;
    for (const meet::Run* one : runs_of(state, run))
        wanted.insert(one->clips.begin(), one->clips.end());
    FrameTables tables;
    for (const meet::ClipId id : wanted) {
        if (stop.stop_requested()) return cancelled();
        auto source = clip_source(meet_folder, state.clips().at(id), stop);
        if (stop.stop_requested()) return cancelled();
        if (source) tables[id] = std::move(source->table);
        if (progress) progress(static_cast<double>(tables.size()) / static_cast<double>(wanted.size()));
    }
    return tables;
}

TableOf table_from(const FrameTables& tables) {
    return [&tables](meet::ClipId id) {
        const auto found = tables.find(id);
        return found == tables.end() ? nullptr : found->second;
    };
}

}  // namespace plumbmark::review
