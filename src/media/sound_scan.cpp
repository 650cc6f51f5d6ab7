#include "media/sound_scan.h"

#include <algorithm>
#include <chrono>
#include <mutex>
#include <thread>
#include <utility>

namespace plumbmark::media {

class SoundScan::Impl {
  public:
    Impl(std::filesystem::path path, base::Time begin, base::Time end, std::function<void()> wake,
         std::optional<int> stream)
        : path_(std::move(path)),
          begin_(begin),
          end_(end),
          wake_(std::move(wake)),
          levels_(begin, end),
          worker_([this, stream](std::stop_token stop) { work(stream, stop); }) {}

    SoundScanState poll() const {
        const std::lock_guard lock(mutex_);
        return state_;
    }
    std::vector<SoundColumn> columns(base::Time from, base::Time to, int count) const {
        const std::lock_guard lock(mutex_);
        return levels_.columns(from, to, count);
    }
    void stop() { worker_.request_stop(); }

  private:
    using Phase = SoundScanState::Phase;

    void work(std::optional<int> stream, const std::stop_token& stop) {
        auto reader = SoundReader::open(path_, {stream, stop});
        if (!reader) return finish(reader.error());
        auto told = std::chrono::steady_clock::now();
        for (;;) {
            const auto block = reader->read();
            if (!block) return finish(block.error());
            // What lies behind the clip's last picture is not drawn, and times may run backwards only a
            // little.
            constexpr base::Duration order{2'000'000'000};
            if (!*block || (*block)->time > end_ + order) return finish(std::nullopt);
            take(**block);
            const auto now = std::chrono::steady_clock::now();
            if (now - told < std::chrono::milliseconds(100)) continue;
            told = now;
            if (wake_) wake_();
        }
    }

    void take(const SoundBlock& block) {
        const std::lock_guard lock(mutex_);
        levels_.add(block);
        state_.range = levels_.range();
        state_.until = std::max(state_.until.value_or(block.end()), block.end());
        const double share =
            static_cast<double>((*state_.until - begin_).ns) / static_cast<double>((end_ - begin_).ns);
        state_.progress = std::clamp(share, state_.progress, 1.0);
    }

    void finish(std::optional<base::Error> error) {
        {
            const std::lock_guard lock(mutex_);
            const bool stopped = error && error->category == base::Category::cancelled;
            state_.phase = stopped ? Phase::stopped : error ? Phase::failed : Phase::done;
            if (!error) state_.progress = 1;
            state_.error = std::move(error);
        }
        if (wake_) wake_();
    }

    const std::filesystem::path path_;
    const base::Time begin_, end_;
    const std::function<void()> wake_;
    mutable std::mutex mutex_;
    SoundLevels levels_;    // guarded by mutex_
    SoundScanState state_;  // guarded by mutex_
    std::jthread worker_;   // last: it ends before the rest goes
};

SoundScan::SoundScan(std::filesystem::path path, base::Time begin, base::Time end, std::function<void()> wake,
                     std::optional<int> stream)
    : impl_(std::make_unique<Impl>(std::move(path), begin, end, std::move(wake), stream)) {}
SoundScan::~SoundScan() = default;

SoundScanState SoundScan::poll() const {
    return impl_->poll();
}
std::vector<SoundColumn> SoundScan::columns(base::Time from, base::Time to, int count) const {
    return impl_->columns(from, to, count);
}
void SoundScan::stop() {
    impl_->stop();
}

}  // namespace plumbmark::media
