#include "media/frame_service.h"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <mutex>
#include <set>
#include <thread>
#include <utility>

#include "media/internal/travel_plan.h"
#include "media/table_cache.h"

namespace plumbmark::media {
namespace {

constexpr std::chrono::milliseconds kTurn{4};  // how often a clip asks whether it may look ahead now
constexpr std::int64_t kStep = 64;  // a move further than this is a jump and says nothing of a direction

/// One pass of the reader.
struct Job {
    Stretch stretch;
    bool asked = false;  ///< somebody waits for its last frame; else it looks ahead
};

}  // namespace

class FrameService::Impl {
  public:
    Impl(std::filesystem::path path, std::function<void()> wake, ServiceOptions options)
        : path_(std::move(path)),
          wake_(std::move(wake)),
          options_(std::move(options)),
          worker_([this](const std::stop_token& stop) { work(stop); }) {}

    ~Impl() {
        scan_stop_.request_stop();
        {
            const std::lock_guard lock(mutex_);
            job_stop_.request_stop();
            worker_.request_stop();
        }
        news_.notify_all();
        worker_.join();
    }

    void request(std::int64_t n) {
        {
            const std::lock_guard lock(mutex_);
            note_direction(n);
            state_.requested = n;
            pending_ = n;
            if (reader_) answer_from_shelf(n);
            settle_running_job();
            travelled_ = true;
        }
        news_.notify_all();
    }

    ServiceState poll() const {
        const std::lock_guard lock(mutex_);
        return state_;
    }

    std::shared_ptr<const Picture> kept(std::int64_t n) const {
        const std::lock_guard lock(mutex_);
        return reader_ ? reader_->shelf().find(n) : nullptr;
    }

    void cancel_scan() { scan_stop_.request_stop(); }

  private:
    // --- with the mutex held ---

    void note_direction(std::int64_t n) {
        const std::int64_t move = n - state_.requested;
        if (move == 0) return;
        const bool jump = state_.requested < 0 || std::abs(move) > kStep;
        direction_ = jump ? 0 : move > 0 ? 1 : -1;
    }

    void answer(std::int64_t n, std::shared_ptr<const Picture> picture) {
        state_.frame = n;
        state_.error.reset();
        state_.picture = std::move(picture);
        state_.picture_frame = n;
        ++state_.answers;
        pending_.reset();
    }

    void answer_from_shelf(std::int64_t n) {
        PictureStore::Shelf& shelf = reader_->shelf();
        shelf.place_hand(n, direction_);
        if (auto picture = shelf.find(n)) return answer(n, std::move(picture));
        if (n < 0 || n >= state_.table->size()) return;
        auto near = shelf.nearest(n);
        if (near.picture && is_nearer(near.frame)) show_stand_in(near.frame, std::move(near.picture));
    }

    [[nodiscard]] bool is_nearer(std::int64_t frame) const {
        return state_.picture_frame < 0 ||
               std::abs(frame - state_.requested) < std::abs(state_.picture_frame - state_.requested);
    }

    void show_stand_in(std::int64_t frame, std::shared_ptr<const Picture> picture) {
        state_.picture = std::move(picture);
        state_.picture_frame = frame;
        stand_in_shown_ = std::chrono::steady_clock::now();
    }

    // Lets the job go on when it will bring what is wanted, or when nothing is wanted that it delays.
    void settle_running_job() {
        if (!job_) return;
        const std::int64_t n = state_.requested;
        const bool brings = pending_ && n >= job_->stretch.first && n <= job_->stretch.last && n > job_out_;
        const bool harmless = !pending_ && !job_->asked;
        give_way_ = !brings && !harmless;
        // While the hand moves on, each pass still brings a first picture, so that something is seen.
        if (give_way_ && (!job_->asked || job_out_ >= 0)) job_stop_.request_stop();
    }

    std::optional<Job> next_job() {
        if (pending_) {
            const std::int64_t n = *pending_;
            const bool inside = n >= 0 && n < state_.table->size();
            // Going back, the whole way from the group's start is kept: the next steps are in it.
            const bool back = inside && direction_ < 0;
            return Job{{back ? state_.table->group_start(n) : n, n}, true};
        }
        if (!state_.settled() || state_.requested < 0 || state_.error) return std::nullopt;
        const Travel travel{state_.requested, direction_, options_.prefetch,
                            [this](std::int64_t n) { return reader_->lies_ahead(n); }};
        const auto stretch = next_stretch(*state_.table, reader_->shelf(), travel, hopeless_);
        // What was just decoded for this place and is not there had no room: again would be the same.
        if (!stretch || std::pair(travel.hand, *stretch) == last_ahead_) return std::nullopt;
        last_ahead_ = {travel.hand, *stretch};
        return Job{*stretch, false};
    }

    // --- the worker's own ---

    template <class Change>
    void publish(Change change) {
        {
            const std::lock_guard lock(mutex_);
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

    // Whatever opening waits for ends when the scan is cancelled or the service goes.
    ScanOptions opening_options() const {
        ScanOptions options = options_.scan;
        options.stop = scan_stop_.get_token();
        return options;
    }

    void work(const std::stop_token& stop) {
        const ScanOptions opening = opening_options();
        const auto key = options_.table ? std::nullopt : table_key(path_, opening, options_.cache_folder);
        auto table = options_.table;
        if (auto kept = key ? recall_table(*key) : std::nullopt)
            table = std::make_shared<const FrameTable>(std::move(*kept));
        const bool fresh = !table;
        if (fresh) table = scanned(opening, stop);
        if (!table || stop.stop_requested()) return;
        ReaderOptions reading = options_.reader;
        reading.stop = opening.stop;
        auto opened = FrameReader::open(path_, table, std::move(reading));
        if (!opened) return fail(opened.error());
        opened->set_witness([this](std::int64_t frame, const std::shared_ptr<const Picture>& picture) {
            witness(frame, picture);
        });
        publish([&](ServiceState& state) {
            reader_ = &*opened;
            state.phase = ServiceState::Phase::ready;
            state.progress = 1;
            state.table = table;
        });
        if (fresh && key) keep_table(*key, *table);
        while (auto job = wait_for_job(stop))
            run(*opened, *job);
        const std::lock_guard lock(mutex_);
        reader_ = nullptr;
    }

    // Null when that failed, which is told, or when nobody wants it any more.
    std::shared_ptr<const FrameTable> scanned(ScanOptions scan, const std::stop_token& stop) {
        scan.first_picture = [this](std::shared_ptr<const Picture> picture) {
            publish([&](ServiceState& state) { state.picture = std::move(picture); });
        };
        scan.progress = [this, shown = 0.0](double share) mutable {
            if (share < shown + 0.01 && share < 1) return;  // a wake-up for each packet would only cost time
            shown = share;
            publish([&](ServiceState& state) { state.progress = share; });
        };
        auto table = scan_clip(path_, scan);
        if (stop.stop_requested()) return nullptr;
        if (!table) return fail(table.error()), nullptr;
        return std::make_shared<const FrameTable>(std::move(*table));
    }

    std::optional<Job> wait_for_job(const std::stop_token& stop) {
        std::unique_lock lock(mutex_);
        for (;;) {
            if (stop.stop_requested()) return std::nullopt;
            travelled_ = false;
            auto job = next_job();
            if (job && !job->asked && !reader_->shelf().take_turn()) {
                last_ahead_.first = -1;
                news_.wait_for(lock, kTurn, [&] { return stop.stop_requested() || travelled_; });
                continue;
            }
            if (job) {
                job_ = job;
                job_out_ = -1;
                give_way_ = false;
                job_stop_ = std::stop_source();
                return job;
            }
            news_.wait(lock, [&] { return stop.stop_requested() || travelled_; });
        }
    }

    void run(FrameReader& reader, const Job& job) {
        seen_.clear();
        {
            const std::lock_guard lock(mutex_);
            reader.set_stop(job_stop_.get_token());
            reader.shelf().place_hand(state_.requested, direction_);
        }
        const std::int64_t n = job.stretch.last;
        const bool stretch = !job.asked || job.stretch.first < n;
        const bool done = stretch && reader.fill(job.stretch.first, n);
        if (job.asked && still_waits_for(n)) answer_with(n, reader.read_alone(n));
        const std::lock_guard lock(mutex_);
        const bool stopped = job_stop_.stop_requested();
        if (!job.asked && done && !stopped) note_hopeless(job.stretch);
        if (stopped) last_ahead_.first = -1;
        if (!job.asked) reader.shelf().give_turn();
        job_.reset();
    }

    bool still_waits_for(std::int64_t n) {
        const std::lock_guard lock(mutex_);
        return pending_ == n && !job_stop_.stop_requested();
    }

    void note_hopeless(const Stretch& stretch) {  // with the mutex held
        for (std::int64_t n = stretch.first; n <= stretch.last; ++n) {
            if (!seen_.contains(n) && !reader_->shelf().find(n)) hopeless_.insert(n);
        }
    }

    // A picture has come already by way of the witness; what is left is the error, or a read from the shelf.
    void answer_with(std::int64_t n, const base::Result<std::shared_ptr<const Picture>>& read) {
        if (!read && read.error().category == base::Category::cancelled) return;
        publish([&](ServiceState& state) {
            if (pending_ != n) return;
            if (read) return answer(n, *read);
            state.error = read.error();
            state.frame = n;
            ++state.answers;
            pending_.reset();
        });
    }

    void witness(std::int64_t frame, const std::shared_ptr<const Picture>& picture) {
        constexpr auto between_stand_ins = std::chrono::milliseconds(50);
        seen_.insert(frame);
        bool news = false;
        {
            const std::lock_guard lock(mutex_);
            const bool first = job_out_ < 0;
            job_out_ = std::max(job_out_, frame);
            if (pending_ == frame) {
                answer(frame, picture);
                news = true;
            } else if (pending_ && job_ && job_->asked && is_nearer(frame) &&
                       (first || std::chrono::steady_clock::now() - stand_in_shown_ > between_stand_ins)) {
                show_stand_in(frame, picture);
                news = true;
            }
            if (give_way_) job_stop_.request_stop();
        }
        if (news && wake_) wake_();
    }

    const std::filesystem::path path_;
    const std::function<void()> wake_;
    const ServiceOptions options_;
    std::stop_source scan_stop_;  // any thread
    mutable std::mutex mutex_;
    std::condition_variable news_;
    // Guarded by mutex_:
    ServiceState state_;
    std::optional<std::int64_t> pending_;  // the newest request, until it is answered
    int direction_ = 0;
    bool travelled_ = false;
    FrameReader* reader_ = nullptr;  // its shelf may be used; the rest is the worker's
    std::optional<Job> job_;
    std::int64_t job_out_ = -1;  // highest frame that came out of the job
    bool give_way_ = false;
    std::stop_source job_stop_;
    std::chrono::steady_clock::time_point stand_in_shown_;
    std::set<std::int64_t> hopeless_;
    std::pair<std::int64_t, Stretch> last_ahead_{-1, {}};
    // The worker's own:
    std::set<std::int64_t> seen_;
    std::jthread worker_;  // last: it starts when everything above stands
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

std::shared_ptr<const Picture> FrameService::kept(std::int64_t frame_number) const {
    return impl_->kept(frame_number);
}

void FrameService::cancel_scan() {
    impl_->cancel_scan();
}

}  // namespace plumbmark::media
