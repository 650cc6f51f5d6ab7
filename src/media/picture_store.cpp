#include "media/picture_store.h"

#include <unistd.h>

#include <algorithm>
#include <cstdlib>

#include "media/internal/frame_pool.h"

namespace plumbmark::media {

PictureStore::PictureStore(std::size_t budget_bytes)
    : budget_(budget_bytes), pool_(std::make_unique<FramePool>()) {}

PictureStore::~PictureStore() = default;

std::size_t PictureStore::default_budget() {
    constexpr std::size_t most = std::size_t{1} << 30;
    const long pages = sysconf(_SC_PHYS_PAGES), page = sysconf(_SC_PAGE_SIZE);
    if (pages <= 0 || page <= 0) return most / 4;
    return std::min(most, static_cast<std::size_t>(pages) / 4 * static_cast<std::size_t>(page));
}

std::size_t PictureStore::kept_bytes() const {
    const std::lock_guard lock(mutex_);
    return kept_bytes_;
}

std::size_t PictureStore::used_bytes() const {
    const std::lock_guard lock(mutex_);
    return kept_bytes_ + beside_the_kept();
}

// What decoders and the screen hold beyond the kept pictures, and what waits to be used again.
std::size_t PictureStore::beside_the_kept() const {
    const std::size_t live = pool_->live_bytes();
    return (live > kept_of_pool_ ? live - kept_of_pool_ : 0) + pool_->idle_bytes();
}

PictureStore::Victim PictureStore::farthest() const {
    Victim worst;
    for (Shelf* shelf : shelves_) {
        if (shelf->pictures_.empty()) continue;
        // Clips that the hand left longer ago go first.
        double weight = 1;
        for (const Shelf* other : shelves_)
            weight += other->placed_ > shelf->placed_ ? 1 : 0;
        for (const std::int64_t frame : {shelf->pictures_.begin()->first, shelf->pictures_.rbegin()->first}) {
            const auto distance = static_cast<double>(std::abs(frame - shelf->hand_));
            const bool behind = (frame - shelf->hand_) * shelf->direction_ < 0;
            const double cost = weight * distance * (behind ? 2 : 1);
            if (cost > worst.cost) worst = {shelf, frame, cost};
        }
    }
    return worst;
}

// A decoder takes the memory of its next pictures before the last one is put here: what leaves in time serves
// them, so that nothing has to be added beyond the budget.
std::size_t PictureStore::room_for_kept(const Picture& like) const {
    constexpr std::size_t in_flight = 3;
    const std::size_t coming = like.in_pool() ? in_flight * like.bytes() : 0;
    const std::size_t taken = beside_the_kept() + std::min(coming, budget_ / 8);
    return budget_ > taken ? budget_ - taken : 0;
}

void PictureStore::make_room(const Picture& newest, std::vector<std::shared_ptr<const Picture>>& leaving) {
    const std::size_t room = room_for_kept(newest);
    while (kept_bytes_ > room) {
        const Victim victim = farthest();
        if (!victim.shelf || victim.cost <= 0) return;  // only pictures at the hand are left
        const auto at = victim.shelf->pictures_.find(victim.frame);
        kept_bytes_ -= at->second->bytes();
        if (at->second->in_pool()) kept_of_pool_ -= at->second->bytes();
        leaving.push_back(std::move(at->second));
        victim.shelf->pictures_.erase(at);
    }
}

PictureStore::Shelf::Shelf(PictureStore& store) : store_(store) {
    const std::lock_guard lock(store_.mutex_);
    store_.shelves_.push_back(this);
}

PictureStore::Shelf::~Shelf() {
    clear();
    give_turn();
    const std::lock_guard lock(store_.mutex_);
    std::erase(store_.shelves_, this);
}

std::shared_ptr<const Picture> PictureStore::Shelf::find(std::int64_t frame) const {
    const std::lock_guard lock(store_.mutex_);
    const auto found = pictures_.find(frame);
    return found == pictures_.end() ? nullptr : found->second;
}

PictureStore::Shelf::Kept PictureStore::Shelf::nearest(std::int64_t frame) const {
    const std::lock_guard lock(store_.mutex_);
    if (pictures_.empty()) return {};
    auto at = pictures_.lower_bound(frame);
    if (at == pictures_.end() ||
        (at != pictures_.begin() && frame - std::prev(at)->first <= at->first - frame))
        --at;
    return {at->first, at->second};
}

void PictureStore::Shelf::put(std::int64_t frame, std::shared_ptr<const Picture> picture) {
    // Freed after the lock is given back: a last owner's memory goes through the pool's own books.
    std::vector<std::shared_ptr<const Picture>> leaving;
    const std::lock_guard lock(store_.mutex_);
    const auto [at, added] = pictures_.try_emplace(frame, std::move(picture));
    if (!added) return;
    store_.kept_bytes_ += at->second->bytes();
    if (at->second->in_pool()) store_.kept_of_pool_ += at->second->bytes();
    // The picture itself may leave again at once.
    const std::shared_ptr<const Picture> newest = at->second;
    store_.make_room(*newest, leaving);
}

void PictureStore::Shelf::place_hand(std::int64_t frame, int direction) {
    const std::lock_guard lock(store_.mutex_);
    hand_ = frame;
    direction_ = direction;
    placed_ = ++store_.placings_;
}

std::optional<std::int64_t> PictureStore::Shelf::first_gap(std::int64_t frame, int step,
                                                           std::int64_t end) const {
    const std::lock_guard lock(store_.mutex_);
    for (std::int64_t n = frame; (end - n) * step >= 0; n += step) {
        if (!pictures_.contains(n)) return n;
    }
    return std::nullopt;
}

std::int64_t PictureStore::Shelf::capacity() const {
    const std::lock_guard lock(store_.mutex_);
    if (pictures_.empty()) return 1;
    const auto clips =
        static_cast<std::size_t>(std::count_if(store_.shelves_.begin(), store_.shelves_.end(),
                                               [](const Shelf* s) { return !s->pictures_.empty(); }));
    const std::size_t one = std::max<std::size_t>(1, pictures_.begin()->second->bytes());
    return std::max<std::int64_t>(
        1, static_cast<std::int64_t>(store_.room_for_kept(*pictures_.begin()->second) / clips / one));
}

bool PictureStore::Shelf::take_turn() {
    const std::lock_guard lock(store_.mutex_);
    if (store_.turn_ && store_.turn_ != this) return false;
    store_.turn_ = this;
    return true;
}

void PictureStore::Shelf::give_turn() {
    const std::lock_guard lock(store_.mutex_);
    if (store_.turn_ == this) store_.turn_ = nullptr;
}

void PictureStore::Shelf::clear() {
    std::map<std::int64_t, std::shared_ptr<const Picture>> leaving;
    const std::lock_guard lock(store_.mutex_);
    for (const auto& [frame, picture] : pictures_) {
        store_.kept_bytes_ -= picture->bytes();
        if (picture->in_pool()) store_.kept_of_pool_ -= picture->bytes();
    }
    leaving.swap(pictures_);
}

}  // namespace plumbmark::media
