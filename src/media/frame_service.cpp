#include "media/frame_service.h"

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <thread>
#include <utility>

namespace plumbmark::media {

class FrameService::Impl {
  public:
    Impl(std::filesystem::path path, std::function<void()> wake, ServiceOptions options)
        : path_(std::move(path)),
          wake_(std::move(wake)),
          options_(std::move(options)),
          worker_([this](std::stop_token stop) { work(stop); }) {}

    ~Impl() {
        scan_stop_.request_stop();
        end_.request_stop();
        {
            std::lock_guard lock(mutex_);
            read_stop_.request_stop();
            worker_.request_stop();
        }
        news_.notify_all();
        worker_.join();
    }

    void request(std::int64_t n) {
        {
            std::lock_guard lock(mutex_);
            state_.requested = n;
            pending_ = n;
            read_stop_
                .request_stop();  // a prefetch gives way; a request that was begun is finished (see serve)
        }
        news_.notify_all();
    }

    ServiceState poll() const {
        std::lock_guard lock(mutex_);
        return state_;
    }

    void cancel_scan() { scan_stop_.request_stop(); }

  private:
    template <class Change>
    void publish(Change change) {
        {
            std::lock_guard lock(mutex_);
            change(state_);
        }
        if (wake_) wake_();
    }

    void fail(const base::Error& error) {
        publish([&](ServiceState& state) {
            state.phase = ServiceState::Phase::failed;
            state.error = error;
            state.frame = state.requested;
            ++state.answers;
        });
    }

    void work(const std::stop_token& stop) {
        auto table = make_table();
        if (stop.stop_requested()) return;
        if (!table) return fail(table.error());
        auto opened = FrameReader::open(path_, *table, options_.reader);
        if (!opened) return fail(opened.error());
        publish([&](ServiceState& state) {
            state.phase = ServiceState::Phase::ready;
            state.progress = 1;
            state.table = *table;
        });
        while (auto wanted = next_request(stop)) {
            serve(*opened, *wanted);
            prefetch(*opened, **table, *wanted, stop);
        }
    }

    base::Result<std::shared_ptr<const FrameTable>> make_table() {
        if (options_.table) return options_.table;
        ScanOptions scan = options_.scan;
        scan.stop = scan_stop_.get_token();
        scan.progress = [this, shown = 0.0](double share) mutable {
            if (share < shown + 0.01 && share < 1) return;  // a wake-up for each packet would only cost time
            shown = share;
            publish([&](ServiceState& state) { state.progress = share; });
        };
        auto table = scan_clip(path_, scan);
        if (!table) return table.error();
        return std::make_shared<const FrameTable>(std::move(*table));
    }

    std::optional<std::int64_t> next_request(const std::stop_token& stop) {
        std::unique_lock lock(mutex_);
        news_.wait(lock, [&] { return stop.stop_requested() || pending_; });
        if (stop.stop_requested()) return std::nullopt;
        return std::exchange(pending_, std::nullopt);
    }

    // A request that was begun is finished even when a newer one has come: while the hand moves, pictures
    // flow. Only the end of the service breaks it off.
    void serve(FrameReader& reader, std::int64_t n) {
        reader.set_stop(end_.get_token());
        auto read = reader.read(n);
        if (end_.get_token().stop_requested()) return;
        publish([&](ServiceState& state) {
            state.frame = n;
            state.error = read ? std::nullopt : std::optional(read.error());
            if (read) {
                state.picture = *read;
                state.picture_frame = n;
            }
            ++state.answers;
        });
        picture_bytes_ = read ? std::max<std::size_t>((*read)->bytes(), 1) : picture_bytes_;
    }

    void prefetch(FrameReader& reader, const FrameTable& table, std::int64_t n, const std::stop_token& stop) {
        const int step = n < last_served_ ? -1 : 1;
        last_served_ = n;
        // No more than half of what the cache holds, so that looking ahead never drives out where one stands.
        const auto room = static_cast<std::int64_t>(options_.reader.cache_bytes / 2 / picture_bytes_);
        const std::int64_t ahead = std::min<std::int64_t>(options_.prefetch, room);
        std::stop_token give_way;
        {
            std::lock_guard lock(mutex_);
            if (pending_) return;
            read_stop_ = std::stop_source();
            give_way = read_stop_.get_token();
        }
        reader.set_stop(give_way);
        for (std::int64_t i = 1; i <= ahead && !give_way.stop_requested() && !stop.stop_requested(); ++i) {
            const std::int64_t neighbour = n + step * i;
            if (neighbour < 0 || neighbour >= table.size()) return;
            (void)reader.read(neighbour).ok();  // an unreadable neighbour is told when it is asked for
        }
    }

    const std::filesystem::path path_;
    const std::function<void()> wake_;
    const ServiceOptions options_;
    std::stop_source scan_stop_;  // any thread
    std::stop_source end_;        // any thread
    mutable std::mutex mutex_;
    std::condition_variable news_;
    ServiceState state_;                   // guarded by mutex_
    std::optional<std::int64_t> pending_;  // guarded by mutex_
    std::stop_source read_stop_;           // guarded by mutex_; of the running prefetch
    std::int64_t last_served_ = -1;        // worker only
    std::size_t picture_bytes_ = 1;        // worker only
    std::jthread worker_;                  // last: it starts when everything above stands
};

FrameService::FrameService(std::filesystem::path path, std::function<void()> wake, ServiceOptions options)
    : impl_(std::make_unique<Impl>(std::move(path), std::move(wake), std::move(options))) {}

FrameService::~FrameService() = default;

void FrameService::request(std::int64_t frame_number) {
    impl_->request(frame_number);
}

FrameService::State FrameService::poll() const {
    return impl_->poll();
}

void FrameService::cancel_scan() {
    impl_->cancel_scan();
}

}  // namespace plumbmark::media
