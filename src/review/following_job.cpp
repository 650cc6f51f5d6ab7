#include "review/following_job.h"

#include <algorithm>
#include <chrono>
#include <map>
#include <utility>

#include "media/file_content.h"
#include "media/frame_reader.h"

namespace plumbmark::review {
namespace {

constexpr std::size_t kReaderCache = std::size_t{64} << 20;
/// Frames are taken in runs of so many, forward, as decoders go: single frames backward would each cost what
/// lies between them and their key frame.
constexpr std::int64_t kRun = 48;
constexpr std::int64_t kNear = 6;  ///< frames over which a hand-held camera's view is a good guess
constexpr std::chrono::milliseconds kWait{5};
constexpr std::int64_t kTold = 25;  ///< frames between two wake-ups

bool is_known_run(std::int64_t frame, std::int64_t first) {
    return frame >= first && frame < first + kRun;
}

}  // namespace

std::vector<follow::Point> followed_points(const meet::Drawing& drawing) {
    std::vector<follow::Point> points = drawing.points;
    if (drawing.towards) points.push_back(*drawing.towards);
    return points;
}

std::vector<FollowedDrawing> followed_drawings(const meet::State& state, meet::ClipId clip) {
    std::vector<FollowedDrawing> followed;
    for (const auto& [id, drawing] : state.drawings()) {
        if (drawing.clip != clip || !drawing.still || drawing.points.empty()) continue;
        followed.push_back({id, drawing.still->number, followed_points(drawing)});
    }
    return followed;
}

std::optional<meet::Drawing> placed_drawing(const meet::Drawing& drawing, const follow::ShapeFit& fit) {
    if (fit.verdict == follow::Verdict::lost) return std::nullopt;
    meet::Drawing placed = drawing;
    const auto move = [&fit](follow::Point& point) {
        const auto at = fit.mapping(point);
        if (at) point = *at;
        return at.has_value();
    };
    for (follow::Point& point : placed.points)
        if (!move(point)) return std::nullopt;
    if (placed.towards && !move(*placed.towards)) return std::nullopt;
    return placed;
}

struct FollowingJob::Group {
    std::int64_t still = 0;
    std::vector<std::size_t> drawings;  ///< indexes
    std::optional<follow::Follower> follower;
};

/// What only the job's own thread touches.
class FollowingJob::Worker {
  public:
    explicit Worker(FollowingJob& job) : job_(job) {}

    bool open(const std::stop_token& stop) {
        media::ReaderOptions options;
        options.cache_bytes = kReaderCache;
        options.threads = 1;
        options.stop = stop;
        auto reader = media::FrameReader::open(job_.clip_, job_.table_, options);
        if (!reader) return refuse_all(reader.error());
        reader_.emplace(std::move(*reader));
        std::map<std::int64_t, Group> groups;
        for (std::size_t i = 0; i < job_.drawings_.size(); ++i)
            groups[job_.drawings_[i].still].drawings.push_back(i);
        for (auto& [still, group] : groups) {
            if (stop.stop_requested()) return false;
            group.still = still;
            make(group);
            groups_.push_back(std::move(group));
        }
        return true;
    }

    Known known(std::int64_t frame) {
        Known known;
        known.fits.resize(job_.drawings_.size());
        known.wholes.resize(groups_.size());
        follow::GreyPicture grey;
        if (auto picture = reader_->read(frame)) grey = follow::grey_picture(**picture);
        for (std::size_t g = 0; g < groups_.size(); ++g) {
            const Group& group = groups_[g];
            if (!group.follower) continue;
            follow::Fit fit = group.follower->fit(grey, job_.near(g, frame));
            known.wholes[g] = fit.whole;
            for (std::size_t i = 0; i < group.drawings.size(); ++i)
                known.fits[group.drawings[i]] = std::move(fit.shapes[i]);
        }
        return known;
    }

  private:
    void make(Group& group) {
        auto picture = reader_->read_alone(group.still);
        if (!picture) return refuse(group, picture.error());
        std::vector<std::vector<follow::Point>> shapes;
        for (const std::size_t i : group.drawings)
            shapes.push_back(job_.drawings_[i].points);
        auto made = follow::Follower::make(follow::grey_picture(**picture), std::move(shapes));
        if (!made) return refuse(group, made.error());
        group.follower.emplace(std::move(*made));
    }

    void refuse(const Group& group, const base::Error& why) {
        const std::lock_guard lock(job_.mutex_);
        for (const std::size_t i : group.drawings)
            job_.troubles_[i] = why;
    }
    bool refuse_all(const base::Error& why) {
        const std::lock_guard lock(job_.mutex_);
        for (auto& trouble : job_.troubles_)
            trouble = why;
        return false;
    }

    FollowingJob& job_;
    std::optional<media::FrameReader> reader_;
    std::vector<Group> groups_;
};

FollowingJob::FollowingJob(std::filesystem::path clip, std::shared_ptr<const media::FrameTable> table,
                           std::vector<FollowedDrawing> drawings, std::int64_t looked_at,
                           std::function<bool()> busy, std::function<void()> wake)
    : clip_(std::move(clip)),
      table_(std::move(table)),
      drawings_(std::move(drawings)),
      busy_(std::move(busy)),
      wake_(std::move(wake)),
      looked_at_(looked_at),
      known_(static_cast<std::size_t>(table_->size())),
      troubles_(drawings_.size()),
      thread_([this](const std::stop_token& stop) { work(stop); }) {}

FollowingJob::~FollowingJob() = default;

void FollowingJob::look_at(std::int64_t frame) {
    const std::lock_guard lock(mutex_);
    if (looked_at_ == frame) return;
    looked_at_ = frame;
    moved_.notify_all();
}

void FollowingJob::rest(bool resting) {
    const std::lock_guard lock(mutex_);
    if (resting_ == resting) return;
    resting_ = resting;
    moved_.notify_all();
}

double FollowingJob::progress() const {
    const std::lock_guard lock(mutex_);
    return known_.empty() ? 1 : static_cast<double>(known_count_) / static_cast<double>(known_.size());
}

std::optional<std::size_t> FollowingJob::index_of(meet::DrawingId drawing) const {
    const auto found = std::find_if(drawings_.begin(), drawings_.end(),
                                    [&](const FollowedDrawing& one) { return one.id == drawing; });
    if (found == drawings_.end()) return std::nullopt;
    return static_cast<std::size_t>(found - drawings_.begin());
}

std::optional<follow::ShapeFit> FollowingJob::at(meet::DrawingId drawing, std::int64_t frame) const {
    const std::optional<std::size_t> index = index_of(drawing);
    if (!index) return std::nullopt;
    if (frame == drawings_[*index].still) {
        follow::ShapeFit exact;
        exact.verdict = follow::Verdict::fits;
        exact.loss = follow::Loss::none;
        exact.share = 1;
        return exact;
    }
    const std::lock_guard lock(mutex_);
    const auto n = static_cast<std::size_t>(frame);
    if (frame < 0 || n >= known_.size() || !known_[n] || troubles_[*index]) return std::nullopt;
    return known_[n]->fits[*index];
}

std::optional<base::Error> FollowingJob::trouble(meet::DrawingId drawing) const {
    const std::optional<std::size_t> index = index_of(drawing);
    if (!index) return std::nullopt;
    const std::lock_guard lock(mutex_);
    return troubles_[*index];
}

std::vector<LostStretch> FollowingJob::lost() const {
    std::vector<LostStretch> stretches;
    const std::lock_guard lock(mutex_);
    for (std::size_t n = 0; n < known_.size(); ++n) {
        bool any = false;
        for (std::size_t i = 0; known_[n] && i < drawings_.size(); ++i)
            any = any || (!troubles_[i] && drawings_[i].still != static_cast<std::int64_t>(n) &&
                          known_[n]->fits[i].verdict == follow::Verdict::lost);
        if (!any) continue;
        const auto frame = static_cast<std::int64_t>(n);
        if (!stretches.empty() && stretches.back().last == frame - 1)
            stretches.back().last = frame;
        else
            stretches.push_back({frame, frame});
    }
    return stretches;
}

/// The frame that is looked at; then on through the run that was begun, while it is no further off than
/// others; then the nearest run, from its start. Call with the mutex held.
std::optional<std::int64_t> FollowingJob::nearest_unknown() const {
    const auto size = static_cast<std::int64_t>(known_.size());
    const auto unknown = [&](std::int64_t n) {
        return n >= 0 && n < size && !known_[static_cast<std::size_t>(n)];
    };
    if (unknown(looked_at_)) return looked_at_;
    if (resting_) return std::nullopt;
    const auto first_of = [](std::int64_t n) { return n / kRun * kRun; };
    const std::int64_t here =
        first_of(std::clamp<std::int64_t>(looked_at_, 0, std::max<std::int64_t>(0, size - 1)));
    for (std::int64_t away = 0; away <= size; away += kRun)
        for (const std::int64_t first : {here + away, here - away}) {
            if (is_known_run(last_done_ + 1, first) && unknown(last_done_ + 1)) return last_done_ + 1;
            for (std::int64_t n = first; n < first + kRun; ++n)
                if (unknown(n)) return n;
        }
    return std::nullopt;
}

std::optional<follow::Mapping> FollowingJob::near(std::size_t group, std::int64_t frame) const {
    const std::lock_guard lock(mutex_);
    for (std::int64_t away = 1; away <= kNear; ++away)
        for (const std::int64_t n : {frame - away, frame + away}) {
            if (n < 0 || n >= static_cast<std::int64_t>(known_.size())) continue;
            const auto& known = known_[static_cast<std::size_t>(n)];
            if (known && known->wholes[group]) return known->wholes[group];
        }
    return std::nullopt;
}

/// Waits while there is nothing to do or others come first; none at the end.
std::optional<std::int64_t> FollowingJob::next_frame(const std::stop_token& stop) {
    std::unique_lock lock(mutex_);
    while (!stop.stop_requested()) {
        const std::optional<std::int64_t> next = nearest_unknown();
        if (!next) {
            const std::int64_t from = looked_at_;
            const bool rested = resting_;
            moved_.wait(lock, stop, [&] { return looked_at_ != from || resting_ != rested; });
            continue;
        }
        lock.unlock();
        const bool others_first = busy_ && busy_();
        lock.lock();
        if (!others_first || *next == looked_at_) return next;
        const std::int64_t from = looked_at_;
        moved_.wait_for(lock, stop, kWait, [&] { return looked_at_ != from; });
    }
    return std::nullopt;
}

void FollowingJob::note(std::int64_t frame, Known known) {
    bool tell = false;
    {
        const std::lock_guard lock(mutex_);
        known_[static_cast<std::size_t>(frame)] = std::make_unique<const Known>(std::move(known));
        last_done_ = frame;
        ++known_count_;
        tell = frame == looked_at_ || known_count_ % kTold == 0 ||
               known_count_ == static_cast<std::int64_t>(known_.size());
    }
    version_.fetch_add(1, std::memory_order_relaxed);
    if (tell && wake_) wake_();
}

void FollowingJob::work(const std::stop_token& stop) {
    media::work_behind_all_others();
    Worker worker(*this);
    if (!worker.open(stop)) {
        if (wake_ && !stop.stop_requested()) wake_();
        return;
    }
    while (const std::optional<std::int64_t> frame = next_frame(stop))
        note(*frame, worker.known(*frame));
}

}  // namespace plumbmark::review
