// From nothing to the first picture of a clip.
#include "media/table_cache.h"
#include "service_walk.h"
#include "support/temporary_folder.h"
#include "turns.h"

namespace plumbmark::bench {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

constexpr auto patience = std::chrono::seconds(60);

base::Error failure(const std::string& sentence) {
    return {base::Category::io, sentence, {}};
}

/// What has to stand before the clock stops.
enum class Until { picture, numbered };

base::Result<double> open_ours(const Clip& clip, Until until, const fs::path& cache_folder = {}) {
    Bell bell;
    media::ServiceOptions options;
    options.cache_folder = cache_folder;
    const Stopwatch watch;
    media::FrameService service(
        clip.path, [&bell] { bell.ring(); }, options);
    service.request(0);
    const Clock::time_point end = Clock::now() + patience;
    while (true) {
        const media::ServiceState state = service.poll();
        if (state.error) return *state.error;
        if (state.picture && (until == Until::picture || state.picture_frame == 0))
            return watch.milliseconds();
        if (!bell.wait(end)) return failure("no picture came within a minute");
    }
}

base::Result<double> open_peer(const Clip& clip, const Entry& entry) {
    const Stopwatch watch;
    auto opened = entry.open(clip, Task::reading);
    if (!opened) return opened.error();
    if (!(*opened)->next()) return failure("it gave no picture");
    return watch.milliseconds();
}

}  // namespace

Figure measure_first_picture(const Clip& clip, const Field& field, const Effort& effort) {
    Figure figure;
    figure.name = "first-picture";
    figure.title = "from opening to the first picture, file in memory";
    figure.unit = "ms";
    figure.goal = Goal{"plumbmark", "", 200};
    const test::TemporaryFolder folder;
    if (const auto key = media::table_key(clip.path, {}, folder.path())) media::keep_table(*key, *clip.table);
    std::vector<Job> jobs{
        {{"plumbmark", "", true, {}, ""}, [&clip] { return open_ours(clip, Until::picture); }},
        {{"plumbmark, frame 0", "", true, {}, "shown by its number: the table stands"},
         [&clip] { return open_ours(clip, Until::numbered); }},
        {{"plumbmark, opened before", "", true, {}, "shown by its number, the table from the disk"},
         [&] { return open_ours(clip, Until::numbered, folder.path()); }}};
    for (const Entry& entry : field.entries) {
        jobs.push_back({{entry.entrant.name, entry.setting(Task::reading), false, {}, ""},
                        [&clip, &entry] { return open_peer(clip, entry); }});
    }
    take_turns(
        jobs, effort.rounds, [](double ms) { return ms; }, figure);
    add_missing(figure, field);
    return figure;
}

}  // namespace plumbmark::bench
