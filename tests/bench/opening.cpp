// From nothing to the first picture of a clip.
#include "service_walk.h"
#include "turns.h"

namespace plumbmark::bench {
namespace {

std::optional<std::string> open_ours(const Clip& clip) {
    Bell bell;
    media::FrameService service(clip.path, [&bell] { bell.ring(); });
    service.request(0);
    auto settled = wait_settled(service, bell);
    if (!settled) return settled.error().text();
    return service.poll().picture ? std::nullopt : std::optional<std::string>("it settled without a picture");
}

std::optional<std::string> open_peer(const Clip& clip, const Entry& entry) {
    auto opened = entry.open(clip, Task::reading);
    if (!opened) return opened.error().sentence;
    return (*opened)->next() ? std::nullopt : std::optional<std::string>("it gave no picture");
}

}  // namespace

Figure measure_first_picture(const Clip& clip, const Field& field, const Effort& effort) {
    Figure figure;
    figure.name = "first-picture";
    figure.title = "from opening to the first picture, file in memory";
    figure.unit = "ms";
    figure.goal = Goal{"plumbmark", "", 200};
    std::vector<Job> jobs{{{"plumbmark", "service", true, {}, ""}, [&clip] { return open_ours(clip); }}};
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
