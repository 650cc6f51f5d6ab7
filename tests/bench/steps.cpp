// One frame back or on, again and again.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "figures.h"
#include "service_walk.h"

namespace plumbmark::bench {
namespace {

/// Key frames that decoding can begin at, without the first.
std::vector<std::int64_t> borders(const Clip& clip) {
    std::vector<std::int64_t> found;
    for (std::int64_t n = 1; n < clip.frames(); ++n) {
        if ((*clip.table)[n].key && clip.table->group_start(n) == n) found.push_back(n);
    }
    if (found.empty()) found.push_back(clip.frames() / 2);
    return found;
}

/// Where the walk of a round begins so that half of its steps lie on either side of a border.
std::int64_t start_at_border(const Clip& clip, const Steps& steps, int presses, int round) {
    const std::int64_t last = clip.frames() - 1;
    const std::vector<std::int64_t> all = borders(clip);
    const std::int64_t border = all[static_cast<std::size_t>(round * 2 + 1) % all.size()];
    const std::int64_t start = border - steps.direction * presses / 2;
    return steps.direction < 0
               ? std::clamp<std::int64_t>(start, std::min<std::int64_t>(presses, last), last)
               : std::clamp<std::int64_t>(start, 0, std::max<std::int64_t>(last - presses, 0));
}

int presses_of_ours(const Clip& clip, const Steps& steps) {
    const auto wanted = static_cast<std::int64_t>(std::lround(steps.seconds * steps.per_second));
    return static_cast<int>(std::min(wanted, clip.frames() - 1));
}

void step_peer(const Clip& clip, const Entry& entry, const Steps& steps, const Effort& effort, int round,
               Row& row) {
    auto opened = entry.open(clip, steps.direction < 0 ? Task::seeking : Task::reading);
    if (!opened) {
        row.note = opened.error().sentence;
        return;
    }
    const std::int64_t start = start_at_border(clip, steps, effort.peer_steps, round);
    (*opened)->show(start);
    int failed = 0;
    for (int i = 1; i <= effort.peer_steps; ++i) {
        const std::int64_t n = start + steps.direction * i;
        if (n < 0 || n >= clip.frames()) break;
        const Stopwatch watch;
        const bool shown = steps.direction < 0 ? (*opened)->back_to(n) : (*opened)->next();
        if (shown) row.values.push_back(watch.milliseconds());
        failed += shown ? 0 : 1;
    }
    if (failed > 0) row.note = fmt::format("{} steps gave no picture", failed);
}

struct Ours {
    Row row;
    int passed_over = 0;
    double resident = 0, grown = 0, kept = 0, used = 0, budget = 0;  ///< MiB, at their peak
};

double mebibytes(std::int64_t bytes) {
    return static_cast<double>(bytes) / (1 << 20);
}

void step_ours(const Clip& clip, const Steps& steps, int round, Ours& ours) {
    WalkPlan plan;
    plan.presses = presses_of_ours(clip, steps);
    plan.start = steps.across_border   ? start_at_border(clip, steps, plan.presses, round)
                 : steps.direction < 0 ? clip.frames() - 1
                                       : 0;
    plan.direction = steps.direction;
    plan.period = 1.0 / steps.per_second;
    auto walked = walk(clip, plan);
    if (!walked) {
        ours.row.note = walked.error().text();
        return;
    }
    const auto skip = std::min(walked->latencies.size(),
                               static_cast<std::size_t>(std::lround(steps.leave_out * steps.per_second)));
    ours.row.values.insert(ours.row.values.end(),
                           walked->latencies.begin() + static_cast<std::ptrdiff_t>(skip),
                           walked->latencies.end());
    ours.passed_over += walked->passed_over;
    ours.resident = std::max(ours.resident, mebibytes(walked->resident_peak));
    ours.grown = std::max(ours.grown, mebibytes(walked->resident_peak - walked->resident_before));
    ours.kept = std::max(ours.kept, mebibytes(static_cast<std::int64_t>(walked->kept_peak)));
    ours.used = std::max(ours.used, mebibytes(static_cast<std::int64_t>(walked->used_peak)));
    ours.budget = mebibytes(static_cast<std::int64_t>(walked->budget));
}

Figure memory_figure(const Steps& steps, const Ours& ours) {
    Figure figure;
    figure.name = steps.name + "-memory";
    figure.title = "memory at its peak during " + steps.name;
    figure.unit = "MiB";
    figure.summary = Summary::amount;
    figure.rows.push_back({"plumbmark",
                           "process",
                           true,
                           {ours.resident},
                           "resident, with all that the measuring program holds"});
    figure.rows.push_back(
        {"plumbmark", "grown", true, {ours.grown}, "resident, against the time before the service was made"});
    figure.rows.push_back({"plumbmark", "kept", true, {ours.kept}, "pictures, as the store says"});
    figure.rows.push_back({"plumbmark",
                           "used",
                           true,
                           {ours.used},
                           fmt::format("all that the store holds, of a budget of {:.0f}", ours.budget)});
    return figure;
}

}  // namespace

std::vector<Figure> measure_steps(const Clip& clip, const Field& field, const Effort& effort,
                                  const Steps& steps) {
    Figure figure;
    figure.name = steps.name;
    figure.title = steps.title;
    figure.unit = "ms";
    figure.goal = Goal{"plumbmark", "", steps.bound, Goal::Of::worst};
    const Task task = steps.direction < 0 ? Task::seeking : Task::reading;
    Ours ours{{"plumbmark", "from press", true, {}, ""}};
    std::vector<Row> rows;
    for (const Entry& entry : field.entries)
        rows.push_back({entry.entrant.name, entry.setting(task), false, {}, ""});
    for (int round = 0; round < effort.walks; ++round) {
        step_ours(clip, steps, round, ours);
        for (std::size_t i = 0; i < rows.size(); ++i)
            step_peer(clip, field.entries[i], steps, effort, round, rows[i]);
    }
    if (ours.passed_over > 0)
        ours.row.note = fmt::format("{} presses were passed over by later ones", ours.passed_over);
    figure.rows.push_back(ours.row);
    figure.rows.insert(figure.rows.end(), rows.begin(), rows.end());
    add_missing(figure, field);
    std::vector<Figure> figures{figure};
    if (steps.memory) figures.push_back(memory_figure(steps, ours));
    return figures;
}

}  // namespace plumbmark::bench
