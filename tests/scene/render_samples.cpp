// render-samples: writes the clips of the sample meet, or holds those that are there against a fresh
// rendering.
#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "meet_files.h"

namespace {

using plumbmark::scene::Say;

constexpr int kThreads = 2;

const char* const kHelp =
    "render-samples: the rendered world of the sample meet (docs/sample-meet.md)\n"
    "\n"
    "  render-samples --write DIR              render all clips, encode them and write DIR/truth.json\n"
    "  render-samples --check [--every N] [DIR]\n"
    "                                          render again and hold every frame (or every N-th) of the "
    "clips in\n"
    "                                          DIR (default: sample_clips) against it, within the loss that "
    "the\n"
    "                                          encoder is allowed, and the truth file byte for byte\n"
    "  render-samples --help                   this text (also without arguments)\n"
    "\n"
    "Exit codes: 0 all well, 1 a difference was found, 2 wrong arguments or a file that cannot be read or "
    "written.\n";

int wrong(const std::string& sentence) {
    fmt::print(stderr, "render-samples: {}\n", sentence);
    return 2;
}

int check(const std::vector<std::string>& words) {
    int every = 1;
    std::string folder = "sample_clips";
    for (std::size_t i = 1; i < words.size(); ++i) {
        if (words[i] == "--every") {
            every = i + 1 < words.size() ? std::atoi(words[++i].c_str()) : 0;
            if (every < 1) return wrong("--every needs a whole number of at least 1, such as --every 15");
        } else {
            folder = words[i];
        }
    }
    const auto report = plumbmark::scene::check_meet(
        folder, every, kThreads, [](const std::string& line) { fmt::print("{}\n", line); });
    if (!report) return wrong(report.error().text());
    for (const std::string& fault : report->faults)
        fmt::print(stderr, "DIFFERENT: {}\n", fault);
    fmt::print("{} clips, {} frames, {} compared: {}\n", report->clips, report->frames, report->compared,
               report->faults.empty() ? "as rendered" : "NOT as rendered");
    return report->faults.empty() ? 0 : 1;
}

int write(const std::vector<std::string>& words) {
    if (words.size() != 2)
        return wrong("--write needs the folder to write into, such as --write sample_clips");
    const auto done = plumbmark::scene::write_meet(words[1], kThreads, [](const std::string& line) {
        fmt::print("{}\n", line);
        std::fflush(stdout);
    });
    return done ? 0 : wrong(done.error().text());
}

}  // namespace

int main(int count, char** arguments) {
    const std::vector<std::string> words(arguments + 1, arguments + count);
    if (words.empty() || words[0] == "--help") {
        fmt::print("{}", kHelp);
        return 0;
    }
    if (words[0] == "--write") return write(words);
    if (words[0] == "--check") return check(words);
    return wrong("'" + words[0] + "' is not known; render-samples --help lists what is");
}
