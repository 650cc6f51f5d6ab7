// desk-script FILE: plays a written list of keys and pointer moves into the real window and holds what came
// of it against what the list says. See docs/desk-script.md.
#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"
#include "tools/desk_script_list.h"

namespace {

namespace fs = std::filesystem;
using namespace plumbmark::script;

constexpr int kHolds = 0, kFails = 1, kUsage = 2, kNotPlayed = 90;

struct Options {
    fs::path list, folder, pictures;
    bool hidden = false, only_count = false;
};

constexpr const char* kUsageWords =
    "desk-script FILE [--folder DIR] [--pictures DIR] [--hidden] [--count]\n"
    "  plays the list FILE into a real window and ends with 0 when all that it expects holds,\n"
    "  1 when something does not, 90 when it could not be played\n"
    "  --folder DIR    work in this folder and leave everything there (else in one that is removed)\n"
    "  --pictures DIR  where the pictures go (else into the working folder)\n"
    "  --hidden        on a display of its own even where there is one\n"
    "  --count         only say how many keys the list presses\n";

std::string quoted(const std::string& text) {
    std::string out = "'";
    for (const char c : text)
        out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

/// Programs that were built are meant by their names alone.
std::string program_line(const std::vector<std::string>& words) {
    std::string line;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const bool built = i == 0 && fs::exists(plumbmark::test::build_folder() / words[0]);
        line += (i == 0 ? "" : " ") +
                quoted(built ? (plumbmark::test::build_folder() / words[0]).string() : words[i]);
    }
    return line;
}

std::string in_folder(const fs::path& folder, const std::string& line) {
    return "cd " + quoted(folder.string()) + " && " + line;
}

void copy_into(const fs::path& folder, const fs::path& from) {
    const fs::path whole = plumbmark::test::source_folder() / from;
    if (!fs::is_directory(whole)) {
        fs::copy_file(whole, folder / whole.filename(), fs::copy_options::overwrite_existing);
        return;
    }
    for (const auto& entry : fs::directory_iterator(whole))
        fs::copy(entry.path(), folder / entry.path().filename(),
                 fs::copy_options::overwrite_existing | fs::copy_options::recursive);
}

/// Keys and everything else that a person's own settings would change are as they come.
std::string settings_of(const Script& script, const fs::path& folder) {
    std::string line = "XDG_CONFIG_HOME=" + quoted((folder / "config").string()) +
                       " XDG_CACHE_HOME=" + quoted((folder / "cache").string()) +
                       " XDG_STATE_HOME=" + quoted((folder / "state").string()) +
                       " DBUS_SESSION_BUS_ADDRESS=unix:path=/nonexistent";
    for (const std::string& setting : script.environment)
        line += " " + setting;
    return line + " ";
}

int play(const Script& script, const Options& options, const fs::path& folder) {
    const fs::path events = folder / "events.txt", log = folder / "log.txt";
    plumbmark::test::write_bytes(events, events_of(script, options.pictures));
    const bool here = !options.hidden && std::getenv("DISPLAY") != nullptr;
    const std::string line = settings_of(script, folder) + (here ? "PLUMBMARK_DRIVE_HERE=1 " : "") +
                             quoted(plumbmark::test::source_folder() / "tests/desk/drive_window.sh") + " " +
                             script.window + " " + program_line(script.program) + " <" +
                             quoted(events.string()) + " >" + quoted(log.string()) + " 2>&1";
    const int code = plumbmark::test::run_line(in_folder(folder, line)).code;
    if (code != 0)
        fmt::print(stderr, "desk-script: the window ended with {}:\n{}\n", code,
                   plumbmark::test::bytes_of(log));
    return code;
}

/// What is wrong; empty: it holds.
std::string look(const Expectation& expected, const Script& script, const fs::path& folder) {
    const auto answer = plumbmark::test::run_line(
        in_folder(folder, settings_of(script, folder) + program_line(expected.command) + " 2>&1"));
    const auto told = nlohmann::json::parse(answer.words, nullptr, false);
    if (told.is_discarded())
        return fmt::format("line {}: the answer is no JSON (exit code {}): {}", expected.line, answer.code,
                           answer.words.substr(0, 300));
    const auto wanted = nlohmann::json::parse(expected.value);
    const nlohmann::json::json_pointer place(expected.pointer);
    const nlohmann::json found = told.contains(place) ? told.at(place) : nlohmann::json("(nothing)");
    if (found == wanted) return {};
    return fmt::format("line {}: {} is {}, not {}", expected.line, expected.pointer, found.dump(),
                       wanted.dump());
}

int run(const Script& script, const Options& options, const fs::path& folder) {
    for (const Preparation& step : script.preparations) {
        if (!step.copy.empty()) copy_into(folder, step.copy);
        if (step.command.empty()) continue;
        const auto answer = plumbmark::test::run_line(
            in_folder(folder, settings_of(script, folder) + program_line(step.command) + " 2>&1"));
        if (answer.code == 0) continue;
        fmt::print(stderr, "desk-script: line {}: '{}' ended with {}:\n{}\n", step.line, step.command.front(),
                   answer.code, answer.words);
        return kNotPlayed;
    }
    if (play(script, options, folder) != 0) return kNotPlayed;
    int failures = 0;
    for (const Expectation& expected : script.expectations) {
        const std::string wrong = look(expected, script, folder);
        if (!wrong.empty()) fmt::print(stderr, "desk-script: {}\n", wrong), ++failures;
    }
    const Count count = count_of(script);
    fmt::print("{}, {} of {} expectations hold\n", words_of(count),
               script.expectations.size() - static_cast<std::size_t>(failures), script.expectations.size());
    if (script.most_keys >= 0 && count.keys > script.most_keys) {
        fmt::print(stderr, "desk-script: {} keys are pressed, {} are allowed\n", count.keys,
                   script.most_keys);
        ++failures;
    }
    return failures == 0 ? kHolds : kFails;
}

bool read_options(int argc, char** argv, Options& options) {
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        const bool takes_folder = word == "--folder" || word == "--pictures";
        if (takes_folder && i + 1 == argc) return false;
        if (word == "--hidden") {
            options.hidden = true;
        } else if (word == "--count") {
            options.only_count = true;
        } else if (takes_folder) {
            (word == "--folder" ? options.folder : options.pictures) = fs::absolute(argv[++i]);
        } else if (word.front() == '-' || !options.list.empty()) {
            return false;
        } else {
            options.list = word;
        }
    }
    return !options.list.empty();
}

}  // namespace

int main(int argc, char** argv) {
    Options options;
    if (!read_options(argc, argv, options)) {
        std::fputs(kUsageWords, stderr);
        return kUsage;
    }
    const auto script = read_script(options.list);
    if (!script) {
        fmt::print(stderr, "desk-script: {}\n", script.error().text());
        return kUsage;
    }
    if (options.only_count) {
        fmt::print("{}\n", words_of(count_of(*script)));
        return kHolds;
    }
    const plumbmark::test::TemporaryFolder temporary;
    const fs::path folder = options.folder.empty() ? temporary.path() : options.folder;
    fs::create_directories(folder);
    if (options.pictures.empty()) options.pictures = folder;
    fs::create_directories(options.pictures);
    return run(*script, options, folder);
}
