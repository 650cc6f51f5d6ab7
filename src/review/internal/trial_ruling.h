// What the runs that belong to trials are ruled to be.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <tuple>

#include "base/result.h"
#include "review/evidence.h"
#include "ruling/ruling.h"
#include "study/trials.h"

namespace plumbmark::review::internal {

/// A photograph as a rig state keeps it. Errors of the file.
[[nodiscard]] base::Result<meet::RigPhoto> photo_of(const std::filesystem::path& meet_file,
                                                    const std::filesystem::path& photo);

/// Rules the trials of one meet; each course is read and prepared once. The state must outlive it.
class TrialRulings {
  public:
    TrialRulings(const meet::State& state, TableOf table_of, std::function<bool()> stopped);

    /// A run that cannot be ruled makes a trial that is not shown, with the error as its reason. Error
    /// cancelled alone.
    [[nodiscard]] base::Result<study::TrialResult> of(const meet::Trial& trial);

  private:
    struct Course {
        base::Result<ruling::PreparedCourse> prepared;
        std::set<std::string> named;  ///< keys of the surfaces that some definition names, or rules out
    };
    using Key = std::tuple<meet::BookId, std::string, std::string>;

    [[nodiscard]] const Course& course_of(const meet::Run& run);
    [[nodiscard]] Course made(const meet::Run& run) const;
    [[nodiscard]] base::Result<ruling::RunRuling> rule(const ruling::PreparedCourse& course,
                                                       const ruling::Evidence& evidence,
                                                       course::StationId station) const;
    /// Errors are why the run cannot be ruled.
    [[nodiscard]] base::Result<void> put_ruling(const meet::Trial& trial, study::TrialResult& result);

    const meet::State& state_;
    TableOf table_of_;
    std::function<bool()> stopped_;
    std::map<Key, Course> courses_;
};

}  // namespace plumbmark::review::internal
