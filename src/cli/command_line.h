// The command line: one subcommand a file, all of them over the review room. docs/command-line.md describes
// it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace plumbmark::cli {

/// What 'plumbmark desk' was asked for; the program hands it to the window.
struct DeskRequest {
    std::vector<std::filesystem::path> files;  ///< a meet file, clips, a course book
    std::optional<std::filesystem::path>
        picture;  ///< draw the desk into this PNG instead of opening a window
    int width = 1600;
    int height = 900;
    double scale = 0;   ///< 1 is 100 %; 0: as the display asks
    std::string page;   ///< of the meet's own view, for the picture; empty: the review of the run
    std::string theme;  ///< empty: as the person prefers it
    std::string run;    ///< label of the run to show; empty: the first
    std::string clip;   ///< name of the clip to show; empty: the first
    std::optional<std::int64_t> frame;  ///< to stand at
};

/// Runs the command line and returns the exit code. Words go to standard output, errors and progress to
/// standard error. Never throws.
[[nodiscard]] int run_command_line(int argc, const char* const* argv,
                                   const std::function<int(const DeskRequest&)>& open_desk);

}  // namespace plumbmark::cli
