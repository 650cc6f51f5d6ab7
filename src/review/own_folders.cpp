#include "review/own_folders.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>

#include "base/worded.h"

namespace plumbmark::review {
namespace {

namespace fs = std::filesystem;
using base::Category;
using base::Error;
using base::Result;
using base::worded;

fs::path folder_of(const char* variable, const char* usual) {
    const char* named = std::getenv(variable);
    // The specification asks that a relative path there is ignored.
    if (named && *named == '/') return fs::path(named) / "plumbmark";
    const char* home = std::getenv("HOME");
    return (home && *home ? fs::path(home) : fs::temp_directory_path()) / usual / "plumbmark";
}

}  // namespace

fs::path config_folder() {
    return folder_of("XDG_CONFIG_HOME", ".config");
}

fs::path state_folder() {
    return folder_of("XDG_STATE_HOME", ".local/state");
}

Result<void> keep_file(const fs::path& file, const std::string& text) {
    std::error_code problem;
    // A device of that name must stay one.
    if (fs::exists(file, problem) && !fs::is_regular_file(file, problem))
        return Error{Category::io, worded("This is no file that can be written to."), file.string()};
    fs::create_directories(file.parent_path(), problem);
    const fs::path part = file.string() + fmt::format(".{}-part", ::getpid());
    {
        std::ofstream out(part, std::ios::binary);
        out << text;
        if (!out.flush()) {
            out.close();
            fs::remove(part, problem);
            return Error{Category::io,
                         worded("This cannot be written; see that there is room and that it may be."),
                         file.string()};
        }
    }
    fs::rename(part, file, problem);
    if (!problem) return {};
    const std::string words = problem.message();
    fs::remove(part, problem);
    return Error{Category::io, worded("This cannot be written: {}.", words), file.string()};
}

}  // namespace plumbmark::review
