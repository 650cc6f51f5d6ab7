// What the subcommands share: exit codes, reading files, progress on the terminal.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <utility>

#include "base/result.h"
#include "cli/command_line.h"
#include "review/read_file.h"
#include "review/session.h"

namespace plumbmark::cli {

/// Exit codes, as documented in docs/command-line.md.
inline constexpr int kDone = 0;
inline constexpr int kFound =
    1;  ///< the command worked and its answer is 'no': a book with mistakes, a broken chain
inline constexpr int kUsage = 2;

/// The exit code for an error: 3 bad input, 4 not found, 5 reading or writing failed, 6 damaged, 7 cannot be
/// done here, 8 too tangled, 9 cancelled, 10 busy, 11 the marks contradict each other.
[[nodiscard]] int exit_code(base::Category category);

/// Prints "plumbmark: where: sentence" to standard error and returns the exit code.
int complain(const base::Error& error);

using review::read_file;

/// Writes bytes beside the target and moves them into place, so that a full disk leaves what was there. Error
/// io.
[[nodiscard]] base::Result<void> write_file(const std::filesystem::path& path, const std::string& bytes);

/// A line of progress on standard error, only when that is a terminal; removed by its destructor.
class ProgressLine {
  public:
    explicit ProgressLine(std::string what);
    ~ProgressLine();
    void show(double share);  ///< 0 to 1; any thread, but one at a time

  private:
    std::string what_;
    bool terminal_;
    int last_percent_ = -1;
};

/// Opens a meet file for reading and waits until a run's clips are scanned and its ruling is reached. 'run'
/// is a label
/// ("run 4") or its number ("4"); empty: the first run. Error not_found names the runs there are.
[[nodiscard]] base::Result<std::unique_ptr<review::Session>> open_run(const std::filesystem::path& meet_file,
                                                                      const std::string& run, bool read_only);

/// The run with this label, or number in the order of the meet. Error not_found names those there are.
[[nodiscard]] base::Result<meet::RunId> find_run(const meet::State& state, const std::string& wanted);

/// The clip of the session's run with this name ("camera A") or file name; empty: the only one. Error
/// not_found names those there are.
[[nodiscard]] base::Result<meet::ClipId> find_clip(const review::Session& session, const std::string& wanted);

/// "A..B", both included, or one frame alone, of a clip with so many. Error bad_input.
[[nodiscard]] base::Result<std::pair<std::int64_t, std::int64_t>> read_frames(const std::string& text,
                                                                              std::int64_t count);

/// What a subcommand adds to the program: its options, and what to do when it was named.
using Action = std::function<int()>;
void add_frames(CLI::App& program, Action& action);
void add_check(CLI::App& program, Action& action);
void add_rule(CLI::App& program, Action& action);
void add_sheet(CLI::App& program, Action& action);
void add_briefing(CLI::App& program, Action& action);
void add_cover(CLI::App& program, Action& action);
void add_new(CLI::App& program, Action& action);
void add_add_run(CLI::App& program, Action& action);
void add_marks(CLI::App& program, Action& action);
void add_export(CLI::App& program, Action& action);
void add_capture(CLI::App& program, Action& action);
void add_repeats(CLI::App& program, Action& action);
void add_course(CLI::App& program, Action& action);
void add_what_if(CLI::App& program, Action& action);
void add_compare(CLI::App& program, Action& action);
void add_season(CLI::App& program, Action& action);
void add_athlete_page(CLI::App& program, Action& action);
void add_note(CLI::App& program, Action& action);
void add_tie(CLI::App& program, Action& action);
void add_trials(CLI::App& program, Action& action);
void add_drawings(CLI::App& program, Action& action);
void add_camera(CLI::App& program, Action& action);
void add_lens(CLI::App& program, Action& action);
void add_placing(CLI::App& program, Action& action);
void add_row_delay(CLI::App& program, Action& action);
void add_verify(CLI::App& program, Action& action);
void add_seal(CLI::App& program, Action& action);
void add_divisions(CLI::App& program, Action& action);
void add_enter(CLI::App& program, Action& action);
void add_call(CLI::App& program, Action& action);
void add_standings(CLI::App& program, Action& action);
void add_appeal(CLI::App& program, Action& action);
void add_meet_rules(CLI::App& program, Action& action);
void add_erase(CLI::App& program, Action& action);
void add_backup(CLI::App& program, Action& action);
void add_restore(CLI::App& program, Action& action);
void add_desk(CLI::App& program, Action& action, const std::function<int(const DeskRequest&)>& open_desk);

}  // namespace plumbmark::cli
