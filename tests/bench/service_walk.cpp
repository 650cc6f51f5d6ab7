#include "service_walk.h"

#include <algorithm>
#include <cstdlib>
#include <thread>

#include "program.h"

namespace plumbmark::bench {
namespace {

using Clock = std::chrono::steady_clock;
using base::Category;

constexpr auto patience = std::chrono::seconds(60);
constexpr auto rest = std::chrono::milliseconds(500);  // a person looks before stepping

Clock::duration from_seconds(double seconds) {
    return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
}

/// The presses of one walk and what became of them.
class Presses {
  public:
    Presses(const WalkPlan& plan, Clock::time_point begin) : plan_(plan), begin_(begin) {}

    [[nodiscard]] bool all_answered() const { return answered_ == plan_.presses; }
    [[nodiscard]] bool all_pressed() const { return pressed_ == plan_.presses; }
    [[nodiscard]] bool due() const { return pressed_ < plan_.presses && Clock::now() >= scheduled(pressed_); }
    [[nodiscard]] std::int64_t press() { return plan_.start + plan_.direction * ++pressed_; }
    [[nodiscard]] Clock::time_point next_look() const {
        return pressed_ < plan_.presses ? scheduled(pressed_) : Clock::now() + patience;
    }
    /// A picture stands for its own press and all before it. Stand-ins count only where they are such a
    /// picture.
    void shown(std::int64_t frame, Walk& walk) {
        const Clock::time_point now = Clock::now();
        const std::int64_t reached = (frame - plan_.start) * plan_.direction;
        if (reached <= answered_ || reached > pressed_) return;
        walk.passed_over += static_cast<int>(reached) - answered_ - 1;
        for (; answered_ < reached; ++answered_)
            walk.latencies.push_back(
                std::chrono::duration<double, std::milli>(now - scheduled(answered_)).count());
    }

  private:
    [[nodiscard]] Clock::time_point scheduled(int press) const {
        return begin_ + from_seconds(plan_.period * press);
    }

    const WalkPlan plan_;
    const Clock::time_point begin_;
    int pressed_ = 0, answered_ = 0;
};

base::Result<void> go(media::FrameService& service, const media::PictureStore& store, Bell& bell,
                      const WalkPlan& plan, Walk& walk) {
    Presses presses(plan, Clock::now() + rest);
    for (;;) {
        if (presses.due()) service.request(presses.press());
        const media::ServiceState state = service.poll();
        if (state.error) return *state.error;
        presses.shown(state.picture_frame, walk);
        walk.resident_peak = std::max(walk.resident_peak, resident_bytes());
        walk.kept_peak = std::max(walk.kept_peak, store.kept_bytes());
        walk.used_peak = std::max(walk.used_peak, store.used_bytes());
        if (presses.all_answered()) return {};
        const Clock::time_point until = presses.next_look();
        if (!bell.wait(until) && presses.all_pressed())
            return base::Error{Category::io, "The service gave no answer within a minute.", {}};
    }
}

}  // namespace

base::Result<void> wait_settled(const media::FrameService& service, Bell& bell) {
    const Clock::time_point end = Clock::now() + patience;
    while (true) {
        const media::ServiceState state = service.poll();
        if (state.error) return *state.error;
        if (state.requested >= 0 && state.settled()) return {};
        if (!bell.wait(end))
            return base::Error{Category::io, "The service gave no answer within a minute.", {}};
    }
}

base::Result<Walk> walk(const Clip& clip, const WalkPlan& plan) {
    Walk walked;
    walked.resident_before = resident_bytes();
    Bell bell;
    media::ServiceOptions options;
    options.table = clip.table;
    options.reader.store = std::make_shared<media::PictureStore>();
    walked.budget = options.reader.store->budget();
    media::FrameService service(
        clip.path, [&bell] { bell.ring(); }, options);
    service.request(plan.start);
    auto settled = wait_settled(service, bell);
    if (!settled) return settled.error();
    auto gone = go(service, *options.reader.store, bell, plan, walked);
    if (!gone) return gone.error();
    return walked;
}

}  // namespace plumbmark::bench
