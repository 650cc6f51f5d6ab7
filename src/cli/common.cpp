#include "cli/internal/common.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <cstdio>
#include <fstream>
#include <sstream>

#include "base/text.h"

namespace plumbmark::cli {
namespace {

bool read_number(std::string_view text, std::int64_t& number) {
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
    return problem == std::errc{} && end == text.data() + text.size();
}

}  // namespace

using base::Category;
using base::Error;
using base::Result;
namespace fs = std::filesystem;

int exit_code(Category category) {
    switch (category) {
        case Category::bad_input:
            return 3;
        case Category::not_found:
            return 4;
        case Category::io:
            return 5;
        case Category::damaged:
            return 6;
        case Category::unsupported:
            return 7;
        case Category::too_tangled:
            return 8;
        case Category::cancelled:
            return 9;
        case Category::busy:
            return 10;
        case Category::contradiction:
            return 11;
    }
    return 3;
}

int complain(const Error& error) {
    fmt::print(stderr, "plumbmark: {}\n", error.text());
    return exit_code(error.category);
}

Result<void> write_file(const fs::path& path, const std::string& bytes) {
    const fs::path beside = path.string() + ".part";
    const auto failed = [&](const char* what) {
        std::error_code ignored;
        fs::remove(beside, ignored);
        return Error{
            Category::io,
            fmt::format("{} Is the disk full, or the folder read-only? What was there before is unchanged.",
                        what),
            path.string()};
    };
    {
        std::ofstream file(beside, std::ios::binary | std::ios::trunc);
        if (!file) return failed("The file cannot be made.");
        file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        file.flush();
        if (!file) return failed("Writing the file failed.");
    }
    std::error_code problem;
    fs::rename(beside, path, problem);
    if (problem) return failed("The file could not be put in its place.");
    return {};
}

ProgressLine::ProgressLine(std::string what)
    : what_(std::move(what)), terminal_(isatty(STDERR_FILENO) == 1) {}

ProgressLine::~ProgressLine() {
    if (terminal_ && last_percent_ >= 0) fmt::print(stderr, "\r{:{}}\r", "", what_.size() + 8);
}

void ProgressLine::show(double share) {
    const int percent = static_cast<int>(share * 100);
    if (!terminal_ || percent == last_percent_) return;
    last_percent_ = percent;
    fmt::print(stderr, "\r{} {} %", what_, percent);
    std::fflush(stderr);
}

Result<meet::RunId> find_run(const meet::State& state, const std::string& wanted) {
    if (state.runs().empty()) return Error{Category::not_found, "This meet has no run yet.", ""};
    if (wanted.empty()) return state.runs().begin()->first;
    std::vector<std::string> labels;
    std::size_t number = 0;
    for (const auto& [id, run] : state.runs()) {
        ++number;
        if (run.label == wanted || std::to_string(number) == wanted) return id;
        labels.push_back("'" + run.label + "'");
    }
    return Error{Category::not_found,
                 fmt::format("There is no run '{}' in this meet; it has {}.", wanted, base::listed(labels)),
                 ""};
}

Result<meet::ClipId> find_clip(const review::Session& session, const std::string& wanted) {
    std::vector<std::string> names;
    for (const review::ClipView& view : session.clips()) {
        const meet::Clip& clip = session.state().clips().at(view.id);
        const std::string path = clip.relative_path.empty() ? clip.last_known_path : clip.relative_path;
        if (wanted.empty() ? session.clips().size() == 1
                           : clip.name == wanted || fs::path(path).filename().string() == wanted)
            return view.id;
        names.push_back("'" + clip.name + "'");
    }
    if (names.empty()) return Error{Category::not_found, "This run has no clip yet.", ""};
    return Error{Category::not_found,
                 wanted.empty()
                     ? fmt::format("Say which clip with --clip; this run has {}.", base::listed(names))
                     : fmt::format("This run has no clip '{}'; it has {}.", wanted, base::listed(names)),
                 ""};
}

Result<std::pair<std::int64_t, std::int64_t>> read_frames(const std::string& text, std::int64_t count) {
    const std::size_t dots = text.find("..");
    const std::string_view whole = text;
    std::pair<std::int64_t, std::int64_t> frames;
    const bool reads = read_number(whole.substr(0, std::min(dots, whole.size())), frames.first) &&
                       read_number(dots == std::string::npos ? whole : whole.substr(dots + 2), frames.second);
    if (!reads || frames.first < 0 || frames.second < frames.first)
        return Error{Category::bad_input,
                     "'" + text + "' is no stretch of frames; write the first and the last, as 120..180",
                     "--frames"};
    if (frames.second >= count)
        return Error{Category::bad_input,
                     fmt::format("The clip has frames 0 to {}; {} is beyond them.", count - 1, frames.second),
                     "--frames"};
    return frames;
}

Result<std::unique_ptr<review::Session>> open_run(const fs::path& meet_file, const std::string& run,
                                                  bool read_only) {
    review::SessionOptions options;
    options.read_only = read_only;
    Result<std::unique_ptr<review::Session>> session = review::Session::open(meet_file, options);
    if (!session) return session;
    Result<meet::RunId> id = find_run((*session)->state(), run);
    if (!id) return Error{id.error().category, id.error().sentence, meet_file.string()};
    (*session)->select_run(*id);
    Result<void> settled = (*session)->settle();
    if (!settled) return settled.error();
    return session;
}

}  // namespace plumbmark::cli
