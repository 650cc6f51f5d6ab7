#include "media/sound_player.h"

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

#include "media/internal/sound_follower.h"
#include "media/internal/sound_supply.h"

namespace plumbmark::media {
namespace {

constexpr int kWindowSeconds = 4;
constexpr std::chrono::milliseconds kRound{20};  // between two looks at how much is decoded ahead

std::int64_t steady_now() {
    return std::chrono::duration_cast<std::chrono::nanoseconds>(
               std::chrono::steady_clock::now().time_since_epoch())
        .count();
}

}  // namespace

class SoundPlayer::Impl {
  public:
    struct Source {
        std::filesystem::path clip;
        std::optional<int> stream;
        friend bool operator==(const Source&, const Source&) = default;
    };

    Impl(std::unique_ptr<SoundDevice> device, Clock clock)
        : clock_(clock ? std::move(clock) : Clock(steady_now)),
          device_(std::move(device)),
          worker_([this](const std::stop_token& stop) { work(stop); }) {}

    ~Impl() {
        aim_.on = false;
        {
            const std::lock_guard lock(mutex_);
            worker_.request_stop();
        }
        news_.notify_all();
        worker_.join();
    }

    void follow(const Source& source, base::Time position, base::Time next) {
        aim_.offset_ns.store(position.ns - clock_(), std::memory_order_relaxed);
        aim_.until_ns.store(next.ns + SoundLimits::patience_ns, std::memory_order_relaxed);
        if (playing_ && source == source_) return;
        source_ = source;
        playing_ = true;
        publish();
    }
    void pause() {
        if (!std::exchange(playing_, false)) return;
        publish();
    }
    void mute(bool muted) {
        if (std::exchange(muted_, muted) == muted) return;
        publish();
    }
    [[nodiscard]] bool muted() const { return muted_; }
    [[nodiscard]] Counters counters() const { return {follower_.jumps, follower_.played, follower_.missing}; }

  private:
    /// What the worker is to do.
    struct Job {
        Source source;
        bool on = false;
        std::uint64_t number = 0;
    };

    void publish() {
        aim_.on.store(playing_ && !muted_, std::memory_order_relaxed);
        {
            const std::lock_guard lock(mutex_);
            job_ = {source_, playing_ && !muted_, job_.number + 1};
        }
        news_.notify_all();
    }

    void work(const std::stop_token& stop) {
        Job job;
        while (!stop.stop_requested()) {
            {
                std::unique_lock lock(mutex_);
                const auto changed = [&] { return stop.stop_requested() || job_.number != job.number; };
                if (device_on_)
                    (void)news_.wait_for(lock, kRound, changed);
                else
                    news_.wait(lock, changed);
                if (stop.stop_requested()) break;
                if (job_.number == job.number) {
                    lock.unlock();
                    top_up();
                    continue;
                }
                job = job_;
            }
            begin(job, stop);
        }
        let_go();
    }

    void begin(const Job& job, const std::stop_token& stop) {
        if (!job.on) return let_go();
        if (!device_on_) {
            const auto rate = device_->find();
            if (!rate) return;
            rate_ = *rate;
            window_.emplace(std::int64_t{kWindowSeconds} * rate_);
            supply_.reset();
        }
        if (!supply_ || supplied_ != job.source) {
            supplied_ = job.source;
            window_->restart(0);
            supply_.emplace(job.source.clip, job.source.stream, rate_, stop);
        }
        top_up();
        if (device_on_) return;
        follower_.begin(&*window_, rate_);
        device_on_ = device_->start([this](float* pairs, int frames, base::Duration ahead) {
            follower_.fill(pairs, frames, clock_() + ahead.ns, aim_);
        });
    }

    void top_up() {
        if (!supply_) return;
        const std::int64_t ns = clock_() + aim_.offset_ns.load(std::memory_order_relaxed);
        supply_->top_up(*window_, static_cast<std::int64_t>(static_cast<double>(ns) * 1e-9 * rate_));
    }

    void let_go() {
        device_->stop();
        device_on_ = false;
        supply_.reset();
    }

    const Clock clock_;
    SoundAim aim_;
    SoundFollower follower_;

    // The owner's.
    Source source_;
    bool playing_ = false, muted_ = false;

    // Guarded by mutex_.
    std::mutex mutex_;
    std::condition_variable news_;
    Job job_;

    // The worker's; the device's thread reads the window between start and stop.
    const std::unique_ptr<SoundDevice> device_;
    std::optional<SoundWindow> window_;
    std::optional<SoundSupply> supply_;
    Source supplied_;
    int rate_ = 0;
    bool device_on_ = false;

    std::jthread worker_;  // last: it ends before the rest goes
};

SoundPlayer::SoundPlayer(std::unique_ptr<SoundDevice> device, Clock clock)
    : impl_(std::make_unique<Impl>(std::move(device), std::move(clock))) {}
SoundPlayer::~SoundPlayer() = default;

void SoundPlayer::follow(const std::filesystem::path& clip, base::Time position, base::Time next,
                         std::optional<int> stream) {
    impl_->follow({clip, stream}, position, next);
}
void SoundPlayer::pause() {
    impl_->pause();
}
void SoundPlayer::mute(bool muted) {
    impl_->mute(muted);
}
bool SoundPlayer::muted() const {
    return impl_->muted();
}
SoundPlayer::Counters SoundPlayer::counters() const {
    return impl_->counters();
}

}  // namespace plumbmark::media
