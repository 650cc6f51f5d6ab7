// Runs of meets laid open for the coach: the course of a run, its evidence, and the figures of both. Only the
// meet is read: no clip's file is looked for or opened, no picture decoded. Frames have the times that the
// marks name; that changes no figure, since only the margins of a ruling count frames.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <tuple>
#include <vector>

#include "base/result.h"
#include "meet/changes.h"
#include "report/laid_open.h"
#include "ruling/ruling.h"

namespace plumbmark::review {

/// Lays runs of one meet open, each course read and prepared once. The state must outlive it. Not for use by
/// two threads at once.
class RunStudy {
  public:
    /// 'file': the meet file, for RunName.
    explicit RunStudy(const meet::State& state, const std::filesystem::path& file = {});

    /// Errors, each with the run in 'where': not_found (no such run, nothing marked on it, a division or lane
    /// that its book lacks), bad_input (no course book, one that does not read; a mark that names what the
    /// book does not have), contradiction, too_tangled, cancelled.
    [[nodiscard]] base::Result<std::shared_ptr<const report::LaidOpen>> open(
        meet::RunId run, const std::stop_token& stop = {});

  private:
    struct Course {
        std::string revision;
        base::Result<std::shared_ptr<const ruling::PreparedCourse>> prepared;
    };
    using Key = std::tuple<meet::BookId, std::string, std::string>;
    [[nodiscard]] const Course& course_of(const meet::Run& run);

    const meet::State& state_;
    std::string file_;
    std::map<Key, Course> courses_;
};

/// The other runs of the athlete of a run: of this record, or of one with the same name and number, since a
/// start list that was entered twice has one person twice. None where nobody is said to have run.
[[nodiscard]] std::vector<meet::RunId> other_runs_of(const meet::State& state, meet::RunId mine);

/// The other runs of a division of the meet, or of the course book, by its key. Error not_found: no run and
/// nothing in the meet has it; the sentence says which there are.
[[nodiscard]] base::Result<std::vector<meet::RunId>> runs_of_division(const meet::State& state,
                                                                      const std::string& key,
                                                                      meet::RunId mine);

/// A run that could not be laid open, and why.
struct NotOpened {
    report::RunName name;
    base::Error why;
    bool unmarked = false;  ///< as nobody has marked anything on it yet
};
struct OpenedRuns {
    std::vector<meet::RunId> ids;  ///< of 'runs'
    std::vector<std::shared_ptr<const report::LaidOpen>> runs;
    std::vector<NotOpened> not_opened;
};
struct OpenRunsOptions {
    /// Which runs; empty: all.
    std::function<bool(const meet::Run&)> wanted;
    std::stop_token stop;
    /// Gets the share done, 0 to 1, never falling, on the calling thread.
    std::function<void(double)> progress;
};
/// In the order of the meet. One that cannot be laid open keeps none of the others back. Error cancelled
/// alone.
[[nodiscard]] base::Result<OpenedRuns> open_runs(const meet::State& state, const std::filesystem::path& file,
                                                 const OpenRunsOptions& options = {});

/// What names a run.
[[nodiscard]] report::RunName run_name(const meet::State& state, const meet::Run& run,
                                       const std::filesystem::path& file);

}  // namespace plumbmark::review
