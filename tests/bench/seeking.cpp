// A jump to a frame anywhere, with no picture kept from before.
#include <fmt/format.h>

#include "figures.h"

namespace plumbmark::bench {
namespace {

struct Seeker {
    std::unique_ptr<Contestant> contestant;
    Row row;
    int failed = 0;
};

void add_seeker(std::vector<Seeker>& seekers, Figure& figure, const Clip& clip, const Entry& entry) {
    auto opened = entry.open(clip, Task::seeking);
    Row row{entry.entrant.name, entry.setting(Task::seeking), entry.entrant.ours, {}, ""};
    if (opened) {
        seekers.push_back({std::move(*opened), row});
        return;
    }
    row.note = opened.error().sentence;
    figure.rows.push_back(row);
}

void seek(Seeker& seeker, std::int64_t n) {
    const Stopwatch watch;
    const bool shown = seeker.contestant->show(n);
    seeker.row.values.push_back(watch.milliseconds());
    seeker.failed += shown ? 0 : 1;
    seeker.contestant->forget();
}

}  // namespace

Figure measure_random_seek(const Clip& clip, const Field& field, const Effort& effort) {
    Figure figure;
    figure.name = "random";
    figure.title = "jump to a random frame, nothing kept";
    figure.unit = "ms";
    figure.goal = Goal{our_reader(Keeping::nothing).name, bare_libav_entrant().name, 0.6};
    std::vector<Seeker> seekers;
    add_seeker(seekers, figure, clip, Entry{our_reader(Keeping::nothing)});
    add_seeker(seekers, figure, clip, Entry{our_reader(Keeping::new_reader)});
    add_seeker(seekers, figure, clip, Entry{our_service()});
    for (const Entry& entry : field.entries)
        add_seeker(seekers, figure, clip, entry);
    std::size_t round = 0;
    for (const std::int64_t n : random_frames(clip, effort.seeks, 7)) {
        for (const std::size_t i : turn(seekers.size(), round++))
            seek(seekers[i], n);
    }
    for (Seeker& seeker : seekers) {
        if (seeker.failed > 0) seeker.row.note = fmt::format("{} jumps gave no picture", seeker.failed);
        figure.rows.push_back(std::move(seeker.row));
    }
    add_missing(figure, field);
    return figure;
}

}  // namespace plumbmark::bench
