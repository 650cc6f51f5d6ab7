// From the first frame to the last: decoded, and packet by packet for the frame table.
#include <fmt/format.h>

#include <limits>

#include "bare_libav.h"
#include "ffms2_source.h"
#include "media/frame_table.h"
#include "media/table_cache.h"
#include "program.h"
#include "support/temporary_folder.h"
#include "turns.h"

namespace plumbmark::bench {
namespace {

const std::string ffmpeg_name = "ffmpeg program";
const std::string ffmpeg_copy_name = "ffmpeg program, -c copy";

base::Result<double> run_ffmpeg(const std::vector<std::string>& words) {
    const Stopwatch watch;
    auto run = run_program(words);
    if (!run) return run.error();
    return watch.milliseconds();
}

base::Error failure(const std::string& sentence) {
    return {base::Category::io, sentence, {}};
}

int best_ffmpeg_threads(const Clip& clip) {
    int best = 0;
    double least = std::numeric_limits<double>::infinity();
    for (const int threads : {0, 1, 2}) {
        const auto took = run_ffmpeg(ffmpeg_words(clip, false, threads));
        if (!took || *took >= least) continue;
        least = *took;
        best = threads;
    }
    return best;
}

base::Result<double> read_through(const Clip& clip, const Entry& entry) {
    const Stopwatch watch;
    auto opened = entry.open(clip, Task::reading);
    if (!opened) return opened.error();
    std::int64_t frames = 0;
    while ((*opened)->next())
        ++frames;
    const double took = watch.milliseconds();
    if (frames == clip.frames()) return took;
    return failure(fmt::format("it gave {} of {} frames", frames, clip.frames()));
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

base::Result<double> scan_ours(const Clip& clip) {
    const Stopwatch watch;
    auto table = media::scan_clip(clip.path);
    if (!table) return table.error();
    return watch.milliseconds();
}

base::Result<double> scan_bare(const Clip& clip) {
    const Stopwatch watch;
    auto opened = BareLibav::open(clip, 1);
    if (!opened) return opened.error();
    if ((*opened)->read_packets() == 0) return failure("it read no packets");
    return watch.milliseconds();
}

base::Result<double> scan_ffms2(const Clip& clip) {
    const Stopwatch watch;
    if (!ffms2_index(clip.path)) return failure("FFMS2 cannot index this clip.");
    return watch.milliseconds();
}

base::Result<double> recall(const Clip& clip, const std::filesystem::path& folder) {
    const Stopwatch watch;
    const auto key = media::table_key(clip.path, {}, folder);
    const auto table = key ? media::recall_table(*key) : std::nullopt;
    const double took = watch.milliseconds();
    if (!table) return failure("the table was not kept");
    if (table->size() != clip.frames()) return failure("the table that was kept is another");
    return took;
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
    const test::TemporaryFolder folder;
    if (const auto key = media::table_key(clip.path, {}, folder.path())) media::keep_table(*key, *clip.table);
    std::vector<Job> jobs{{{"plumbmark", "", true, {}, ""}, [&] { return recall(clip, folder.path()); }}};
    take_turns(
        jobs, effort.rounds, [](double ms) { return ms; }, figure);
    return figure;
}

}  // namespace plumbmark::bench
