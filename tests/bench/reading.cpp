// From the first frame to the last: decoded, and packet by packet for the frame table.
#include <fmt/format.h>

#include <limits>

#include "bare_libav.h"
#include "ffms2_source.h"
#include "media/frame_table.h"
#include "program.h"
#include "turns.h"

namespace plumbmark::bench {
namespace {

const std::string ffmpeg_name = "ffmpeg program";
const std::string ffmpeg_copy_name = "ffmpeg program, -c copy";

std::optional<std::string> run_ffmpeg(const std::vector<std::string>& words) {
    auto run = run_program(words);
    return run ? std::nullopt : std::optional(run.error().text());
}

int best_ffmpeg_threads(const Clip& clip) {
    int best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (const int threads : {0, 1, 2}) {
        const Stopwatch watch;
        if (run_ffmpeg(ffmpeg_words(clip, false, threads))) continue;
        if (watch.milliseconds() >= least) continue;
        least = watch.milliseconds();
        best = threads;
    }
    return best;
}

std::optional<std::string> read_through(const Clip& clip, const Entry& entry) {
    auto opened = entry.open(clip, Task::reading);
    if (!opened) return opened.error().sentence;
    std::int64_t frames = 0;
    while ((*opened)->next())
        ++frames;
    if (frames == clip.frames()) return std::nullopt;
    return fmt::format("it gave {} of {} frames", frames, clip.frames());
}

Job reading_job(const Clip& clip, const Entry& entry) {
    return {{entry.entrant.name, entry.setting(Task::reading), entry.entrant.ours, {}, ""},
            [&clip, entry] { return read_through(clip, entry); }};
}

Job ffmpeg_job(const Clip& clip) {
    const int threads = best_ffmpeg_threads(clip);
    const Entry words{Entrant{}, 0, threads};
    return {{ffmpeg_name, words.setting(Task::reading), false, {}, ""},
            [words = ffmpeg_words(clip, false, threads)] { return run_ffmpeg(words); }};
}

std::optional<std::string> scan_ours(const Clip& clip) {
    auto table = media::scan_clip(clip.path);
    return table ? std::nullopt : std::optional(table.error().text());
}

std::optional<std::string> scan_bare(const Clip& clip) {
    auto opened = BareLibav::open(clip, 1);
    if (!opened) return opened.error().sentence;
    return (*opened)->read_packets() > 0 ? std::nullopt : std::optional<std::string>("it read no packets");
}

std::optional<std::string> scan_ffms2(const Clip& clip) {
    return ffms2_index(clip.path) ? std::nullopt
                                  : std::optional<std::string>("FFMS2 cannot index this clip.");
}

/// THE PLACE FOR THE SECOND OPENING. Once the module keeps frame tables on the disk, this opens the clip's
/// table from there (the first opening, which fills it, is done before the figure is measured) and
/// 'second_opening_there' says true.
constexpr bool second_opening_there = false;
std::optional<std::string> open_from_disk(const Clip&) {
    return "this release keeps no frame table on the disk";
}

}  // namespace

Figure measure_linear(const Clip& clip, const Field& field, const Effort& effort) {
    Figure figure;
    figure.name = "linear";
    figure.title = "all frames from first to last, opening included";
    figure.unit = "frames/s";
    figure.better = Better::more;
    figure.goal = Goal{"plumbmark", ffmpeg_name, 0.95};
    std::vector<Job> jobs{reading_job(clip, Entry{our_reader(Keeping::as_shipped)})};
    if (program_there("ffmpeg")) jobs.push_back(ffmpeg_job(clip));
    for (const Entry& entry : field.entries) {
        // A player shows pictures at their own pace; its steps stand among the step figures.
        if (entry.entrant.name != mpv_entrant().name) jobs.push_back(reading_job(clip, entry));
    }
    const auto frames = static_cast<double>(clip.frames());
    take_turns(
        jobs, effort.rounds, [frames](double ms) { return frames / ms * 1000; }, figure);
    if (!program_there("ffmpeg")) figure.rows.push_back({ffmpeg_name, "", false, {}, "not installed"});
    add_missing(figure, field);
    return figure;
}

Figure measure_scan(const Clip& clip, const Effort& effort) {
    Figure figure;
    figure.name = "scan";
    figure.title = "from the file to its frame table; peers: all packets read";
    figure.unit = "ms";
    figure.goal = Goal{"plumbmark", ffmpeg_copy_name, 1.1};
    std::vector<Job> jobs{{{"plumbmark", "", true, {}, ""}, [&clip] { return scan_ours(clip); }}};
    if (program_there("ffmpeg")) {
        jobs.push_back({{ffmpeg_copy_name, "", false, {}, ""},
                        [words = ffmpeg_words(clip, true, 0)] { return run_ffmpeg(words); }});
    }
    jobs.push_back({{"bare libav", "", false, {}, "packets only"}, [&clip] { return scan_bare(clip); }});
    if (ffms2_installed())
        jobs.push_back({{"FFMS2", "", false, {}, "its index"}, [&clip] { return scan_ffms2(clip); }});
    take_turns(
        jobs, effort.rounds, [](double ms) { return ms; }, figure);
    if (!program_there("ffmpeg")) figure.rows.push_back({ffmpeg_copy_name, "", false, {}, "not installed"});
    if (!ffms2_installed()) figure.rows.push_back({"FFMS2", "", false, {}, "not installed"});
    return figure;
}

Figure measure_second_opening(const Clip& clip, const Effort& effort) {
    Figure figure;
    figure.name = "second-opening";
    figure.title = "frame table of a clip that was opened before";
    figure.unit = "ms";
    figure.goal = Goal{"plumbmark", "", 20};
    std::vector<Job> jobs{{{"plumbmark", "", true, {}, ""}, [&clip] { return open_from_disk(clip); }}};
    if (second_opening_there) (void)open_from_disk(clip);
    take_turns(
        jobs, effort.rounds, [](double ms) { return ms; }, figure);
    return figure;
}

}  // namespace plumbmark::bench
