// bench-desk: how long the window takes to draw while two cameras play, with few marks and with many, and
// what it costs while nothing happens.
//
// The measured program is this one again, as the window that tests/desk/drive_window.sh opens and presses
// keys in.
#include <fmt/format.h>
#include <time.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <mutex>
#include <thread>
#include <vector>

#include "desk/desk.h"
#include "review/session.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"
#include "support/test_places.h"

namespace {

using namespace plumbmark;
namespace fs = std::filesystem;
using base::Result;

constexpr int kSeconds = 12;        // of playing, and of doing nothing
constexpr int kFramesASecond = 30;  // of the clips

double processor_seconds() {
    timespec now{};
    ::clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + static_cast<double>(now.tv_nsec) / 1e9;
}

/// The window, with a line in the file for each drawing, and one a second for the processor's time.
int be_the_window(const char* meet, const char* times) {
    std::ofstream out(times);
    std::mutex mutex;
    const auto begun = std::chrono::steady_clock::now();
    const auto since = [&] {
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    };
    desk::DeskOptions options;
    options.language = "en";
    options.files = {meet};
    options.width = 1920;
    options.height = 1080;
    options.scale = 1;
    options.remember = false;
    options.keys_file = "/dev/null";
    options.frame_drawn = [&](const desk::DrawnFrame& frame) {
        const std::lock_guard lock(mutex);
        out << "frame " << since() << ' ' << frame.seconds << ' ' << frame.playing << '\n';
    };
    const std::jthread sampler([&](const std::stop_token& stop) {
        while (!stop.stop_requested()) {
            std::this_thread::sleep_for(std::chrono::milliseconds(250));
            const std::lock_guard lock(mutex);
            out << "processor " << since() << ' ' << processor_seconds() << '\n';
        }
    });
    return desk::run_desk(options);
}

/// Made once; 1920 x 1080, something moving everywhere, a key frame every two seconds as phones write them.
fs::path clip(const std::string& name, const std::string& source) {
    const fs::path path = test::build_folder() / "bench-clips" / name;
    fs::create_directories(path.parent_path());
    if (fs::exists(path)) return path;
    const fs::path part = path.string() + ".part.mp4";
    const auto made =
        test::run_line(fmt::format("ffmpeg -v error -y -f lavfi -i {}=s=1920x1080:r={} -t {} -c:v libx264 "
                                   "-preset veryfast -crf 22 -g {} "
                                   "-pix_fmt yuv420p '{}' 2>&1",
                                   source, kFramesASecond, 2 * kSeconds, 2 * kFramesASecond, part.string()));
    if (made.code != 0) {
        fmt::print(stderr, "bench-desk: the ffmpeg program made no clip: {}\n", made.words);
        std::exit(1);
    }
    fs::rename(part, path);
    return path;
}

meet::Mark touch_or_release(const review::Session& session, std::int64_t id, std::int64_t frame, int part) {
    const auto table = session.current_clip()->table;
    const auto at = [&](std::int64_t n) {
        n = std::clamp<std::int64_t>(n, 0, table->size() - 1);
        return meet::FrameRef{n, (*table)[n].pts};
    };
    meet::Mark mark;
    mark.id = {id};
    mark.run = session.run();
    meet::Event event;
    event.kind = id % 2 == 0 ? meet::EventKind::touch : meet::EventKind::release;
    event.part = static_cast<course::Part>(part);
    event.surface = "pier_deck";
    mark.alternatives = {event};
    mark.sightings = {{session.clip(), at(frame), at(frame + 1)}};
    return mark;
}

/// Two cameras, tied by one event, and so many marks on the first.
Result<void> make_meet(const fs::path& path, int marks) {
    auto made = review::Session::create(path, {"Pier Nine Youth Open", "harbour hall", "2026-05-02"});
    if (!made) return made.error();
    review::Session& session = **made;
    if (auto run = session.add_run("run 1"); !run) return run.error();
    for (const auto& file : {clip("two-a.mp4", "testsrc2"), clip("two-b.mp4", "mandelbrot")})
        if (auto added = session.add_clip(file); !added) return added.error();
    if (auto settled = session.settle(); !settled) return settled;
    const meet::ClipId other = session.clips().back().id;
    session.select_clip(session.clips().front().id);
    meet::Change change{"marks", {}, 0};
    const std::int64_t frames = session.current_clip()->table->size();
    for (int n = 0; n < std::max(1, marks); ++n) {
        meet::Mark mark = touch_or_release(session, session.state().next_id(meet::Kind::mark) + n,
                                           n * (frames - 2) / std::max(1, marks), n / 2 % 4);
        if (n == 0) mark.sightings.push_back({other, mark.sightings[0].early, mark.sightings[0].late});
        change.edits.push_back({std::nullopt, mark});
    }
    if (auto done = session.apply(change); !done) return done;
    return session.settle();
}

struct Times {
    std::vector<double> frames;  ///< ms, while playing
    double played_for = 0;       ///< s from the first to the last of them
    double idle = 0;             ///< share of a core while nothing happened
};

Times read_times(const fs::path& file) {
    std::ifstream in(file);
    Times times;
    double first = -1, last = 0;
    std::vector<std::pair<double, double>> processor;
    for (std::string word; in >> word;) {
        double at = 0, value = 0;
        in >> at >> value;
        if (word == "processor") {
            processor.emplace_back(at, value);
            continue;
        }
        int playing = 0;
        in >> playing;
        if (!playing) continue;
        times.frames.push_back(value * 1000);
        if (first < 0) first = at;
        last = at;
    }
    times.played_for = last - first;
    // From three seconds after the last played frame, when messages have gone, to just before the end.
    std::erase_if(processor, [&](const auto& sample) { return sample.first < last + 8; });
    if (processor.size() > 2) processor.pop_back();
    if (processor.size() > 2)
        times.idle = (processor.back().second - processor.front().second) /
                     (processor.back().first - processor.front().first);
    std::sort(times.frames.begin(), times.frames.end());
    return times;
}

double quantile(const std::vector<double>& sorted, double share) {
    if (sorted.empty()) return 0;
    return sorted[std::min(sorted.size() - 1,
                           static_cast<std::size_t>(share * static_cast<double>(sorted.size())))];
}

bool measure(const std::string& self, int marks) {
    const test::TemporaryFolder folder;
    const fs::path meet = folder / "bench.meet", times = folder / "times.txt", script = folder / "script.txt";
    if (auto made = make_meet(meet, marks); !made) {
        fmt::print(stderr, "bench-desk: {}\n", made.error().text());
        return false;
    }
    test::write_bytes(script, fmt::format("title f 0$\npause 12\nkey space\npause {}\nkey space\npause {}\n"
                                          "key ctrl+q\nclose\n",
                                          kSeconds, kSeconds + 8));
    const auto played =
        test::run_line(fmt::format("'{}' 1920x1080 '{}' --window '{}' '{}' < '{}' 2>&1",
                                   (test::source_folder() / "tests/desk/drive_window.sh").string(), self,
                                   meet.string(), times.string(), script.string()));
    if (played.code != 0) {
        fmt::print(stderr, "bench-desk: the window ended with {}: {}\n", played.code, played.words);
        return false;
    }
    const Times told = read_times(times);
    if (told.frames.size() < 30) {
        fmt::print(stderr, "bench-desk: only {} frames were drawn while playing\n", told.frames.size());
        return false;
    }
    fmt::print("{:>7}  {:>7}  {:>9.1f}  {:>9.1f}  {:>9.1f}  {:>9.1f}  {:>9.1f} %\n", marks,
               told.frames.size(), static_cast<double>(told.frames.size()) / told.played_for,
               quantile(told.frames, 0.5), quantile(told.frames, 0.95), told.frames.back(), told.idle * 100);
    return true;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc == 4 && std::strcmp(argv[1], "--window") == 0) return be_the_window(argv[2], argv[3]);
    std::vector<int> counts;
    for (int i = 1; i < argc; ++i) {
        int count = 0;
        const char* end = argv[i] + std::strlen(argv[i]);
        if (std::from_chars(argv[i], end, count).ptr != end || count < 1) {
            std::fputs(
                "bench-desk [MARKS ...]: how long the window takes to draw while two 1080p cameras play, "
                "with so "
                "many marks on the run strip (1, 100 and 10000 by default), and what it costs idle\n",
                stderr);
            return std::strcmp(argv[i], "--help") == 0 ? 0 : 2;
        }
        counts.push_back(count);
    }
    if (counts.empty()) counts = {1, 100, 10'000};
    const std::string self = fs::read_symlink("/proc/self/exe").string();
    fmt::print("  marks   drawn   a second  median ms   p95 ms     most ms    idle, of a core\n");
    bool fine = true;
    for (const int marks : counts)
        fine = measure(self, marks) && fine;
    return fine ? 0 : 1;
}
