// What another course book or other settings would change: every run of a meet ruled as it stands and again
// as it would be. The meet is only read.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "report/what_if_document.h"
#include "review/evidence.h"

namespace plumbmark::review {

/// What is to be otherwise. An empty one changes nothing.
struct WhatIf {
    std::optional<course::CourseBook> book;  ///< in place of every run's own; whole, with divisions and lanes
    std::string book_file;                   ///< its name, for the report
    /// Of every book, the edited one included. Read by put_setting().
    std::vector<std::function<void(course::CourseBook&)>> of_book;
    std::optional<std::int64_t> drift_parts_per_million;
    std::optional<base::Duration> row_delay;  ///< of clips whose own is not known
    std::vector<std::string> settings;        ///< as they were given: "brush_counts = false"
    [[nodiscard]] bool empty() const { return !book && settings.empty(); }
};

/// One setting that can be tried.
struct WhatIfSetting {
    std::string name;   ///< "brush_counts"
    std::string about;  ///< what it is, and what can stand there
};
[[nodiscard]] std::span<const WhatIfSetting> what_if_settings();

/// Adds a setting written as "brush_counts=false". Error bad_input names the settings there are, or what can
/// stand there; nothing is added then.
[[nodiscard]] base::Result<void> put_setting(WhatIf& what_if, const std::string& name_and_value);

struct WhatIfOptions {
    std::optional<meet::RunId> run;  ///< this run alone
    /// Asked often, on the calling thread: true once the answer is no longer wanted.
    std::function<bool()> stopped;
    /// Gets the share done, 0 to 1, never falling, on the calling thread.
    std::function<void(double)> progress;
};

/// Rules every run as it stands (its own revision, division and lane, the usual settings) and as it would be.
/// A run that cannot be ruled on one side keeps its error there: a mark names what the changed book does not
/// have, its division or lane is gone, its marks contradict each other there, it is too tangled. Errors:
/// not_found (no such run), cancelled. Pure but for 'table_of'; takes as long as all these rulings. Any
/// thread, as long as nobody changes the state.
[[nodiscard]] base::Result<report::WhatIfDocument> what_if(const meet::State& state, const WhatIf& change,
                                                           const TableOf& table_of,
                                                           const WhatIfOptions& options = {});

/// The frame tables of all clips of these runs (all runs where it is empty), from the cache or by scanning.
/// A clip whose file is away, is not the one that was marked or cannot be read has none; its runs are then
/// ruled on the frames that their marks name, as the session does. Waits for drives: not for the window's
/// thread. Error cancelled.
using FrameTables = std::map<meet::ClipId, std::shared_ptr<const media::FrameTable>>;
[[nodiscard]] base::Result<FrameTables> frame_tables(const std::filesystem::path& meet_folder,
                                                     const meet::State& state,
                                                     const std::optional<meet::RunId>& run,
                                                     std::stop_token stop = {},
                                                     const std::function<void(double)>& progress = {});

/// For what_if(); 'tables' must outlive it.
[[nodiscard]] TableOf table_from(const FrameTables& tables);

}  // namespace plumbmark::review
