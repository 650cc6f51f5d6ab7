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

/// Bytes of pictures that the service keeps, where it tells them (as kept_bytes of its state); else -1.
template <class State>
std::int64_t kept_bytes(const State& state) {
    if constexpr (requires { state.kept_bytes; }) {
        return static_cast<std::int64_t>(state.kept_bytes);
    } else {
        return -1;
    }
}

Clock::duration from_seconds(double seconds) {
    return std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
}

/// The presses of one walk and what became of them.
class Presses {
  public:
    Presses(const WalkPlan& plan, Clock::time_point begin) : plan_(plan), begin_(begin) {}

    [[nodiscard]] bool all_answered() const { return answered_ == plan_.presses; }
    [[nodiscard]] bool due() const { return pressed_ < plan_.presses && Clock::now() >= scheduled(pressed_); }
    [[nodiscard]] std::int64_t press() { return plan_.start + plan_.direction * ++pressed_; }
    [[nodiscard]] Clock::time_point next_look() const {
        return pressed_ < plan_.presses ? scheduled(pressed_) : Clock::now() + patience;
    }
    void shown(std::int64_t frame, Walk& walk) {
        const Clock::time_point now = Clock::now();
        const auto reached = std::min<std::int64_t>((frame - plan_.start) * plan_.direction, pressed_);
        if (reached > answered_) walk.passed_over += static_cast<int>(reached) - answered_ - 1;
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

base::Result<void> go(media::FrameService& service, Bell& bell, const WalkPlan& plan, Walk& walk) {
    Presses presses(plan, Clock::now() + rest);
    while (!presses.all_answered()) {
        if (presses.due()) service.request(presses.press());
        const media::ServiceState state = service.poll();
        if (state.error) return *state.error;
        presses.shown(state.picture_frame, walk);
        walk.resident_peak = std::max(walk.resident_peak, resident_bytes());
        walk.kept_peak = std::max(walk.kept_peak, kept_bytes(state));
        const Clock::time_point until = presses.next_look();
        if (!bell.wait(until) && until - Clock::now() > patience / 2)
            return base::Error{Category::io, "The service gave no answer within a minute.", {}};
    }
    return {};
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
    media::FrameService service(
        clip.path, [&bell] { bell.ring(); }, options);
    service.request(plan.start);
    auto settled = wait_settled(service, bell);
    if (!settled) return settled.error();
    auto gone = go(service, bell, plan, walked);
    if (!gone) return gone.error();
    return walked;
}

}  // namespace plumbmark::bench
