// Ours as the window has it: media::FrameService, from the request until that very frame stands.
#include "contestant.h"
#include "service_walk.h"

namespace plumbmark::bench {
namespace {

using Clock = std::chrono::steady_clock;

constexpr auto patience = std::chrono::seconds(60);

class OurService final : public Contestant {
  public:
    explicit OurService(const Clip& clip) : clip_(clip) { forget(); }

    bool show(std::int64_t n) override {
        service_->request(n);
        const auto shown = [&](const media::ServiceState& state) { return state.picture_frame == n; };
        return wait_until(shown);
    }
    bool next() override {
        return service_->poll().requested + 1 < clip_.frames() && show(service_->poll().requested + 1);
    }
    void forget() override {
        service_.reset();
        media::ServiceOptions options;
        options.table = clip_.table;
        service_.emplace(
            clip_.path, [this] { bell_.ring(); }, options);
        wait_until([](const media::ServiceState& state) {
            return state.phase == media::ServiceState::Phase::ready;
        });
    }
    Look look() override {
        const media::ServiceState state = service_->poll();
        return {clip_.seconds(state.picture_frame), media::md5_hex(*state.picture)};
    }

  private:
    template <class Condition>
    bool wait_until(Condition met) {
        const Clock::time_point end = Clock::now() + patience;
        while (true) {
            const media::ServiceState state = service_->poll();
            if (state.error) return false;
            if (met(state)) return true;
            if (!bell_.wait(end)) return false;
        }
    }

    const Clip& clip_;
    Bell bell_;
    std::optional<media::FrameService> service_;  // last: it rings the bell until it is gone
};

}  // namespace

Entrant our_service() {
    Entrant entrant;
    entrant.name = "plumbmark, service";
    entrant.ours = true;
    entrant.thread_choices = {0};
    entrant.open = [](const Clip& clip, int) -> base::Result<std::unique_ptr<Contestant>> {
        return std::unique_ptr<Contestant>(std::make_unique<OurService>(clip));
    };
    return entrant;
}

}  // namespace plumbmark::bench
