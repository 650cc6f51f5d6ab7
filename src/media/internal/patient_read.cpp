#include "media/internal/patient_read.h"

#include <algorithm>
#include <cerrno>
#include <condition_variable>
#include <cstring>
#include <mutex>
#include <system_error>
#include <thread>

namespace plumbmark::media {
namespace {

constexpr std::size_t first_stride = std::size_t{64} << 10, longest_stride = std::size_t{1} << 20;

}  // namespace

/// What the owner and the waiting thread have in common, guarded by 'mutex'; 'block' is the thread's alone
/// while 'asked' is set.
struct PatientRead::Shared {
    explicit Shared(std::shared_ptr<const OpenFile> opened) : file(std::move(opened)) {}

    std::mutex mutex;
    std::condition_variable_any news;
    const std::shared_ptr<const OpenFile> file;
    bool asked = false, left = false;
    std::size_t wanted = 0;
    Block block;

    void work() {
        std::unique_lock lock(mutex);
        for (;;) {
            news.wait(lock, [&] { return asked || left; });
            if (left) return;
            lock.unlock();
            ssize_t got = 0;
            do {
                got = ::pread(file->descriptor, block.bytes.data(), wanted, block.offset);
            } while (got < 0 && errno == EINTR);
            const int error = got < 0 ? errno : 0;
            lock.lock();
            block.filled = got < 0 ? 0 : static_cast<std::size_t>(got);
            block.error = error;
            asked = false;
            news.notify_all();
        }
    }
};

PatientRead::PatientRead(std::shared_ptr<const OpenFile> file) : file_(std::move(file)) {}

PatientRead::~PatientRead() {
    leave();
}

bool PatientRead::start() {
    if (shared_) return true;
    auto shared = std::make_shared<Shared>(file_);
    try {
        std::thread([shared] { shared->work(); }).detach();
    } catch (const std::system_error&) {
        return false;
    }
    shared_ = std::move(shared);
    stride_ = 0;
    return true;
}

void PatientRead::leave() {
    if (!shared_) return;
    {
        std::lock_guard lock(shared_->mutex);
        shared_->left = true;
    }
    shared_->news.notify_all();
    shared_.reset();
}

std::size_t PatientRead::kept(std::int64_t offset, std::span<std::uint8_t> into) const {
    if (offset < block_.offset || offset >= block_.end()) return 0;
    const auto skipped = static_cast<std::size_t>(offset - block_.offset);
    const std::size_t size = std::min(into.size(), block_.filled - skipped);
    std::memcpy(into.data(), block_.bytes.data() + skipped, size);
    return size;
}

// With the lock held and nothing asked for.
void PatientRead::ask(std::int64_t offset, std::size_t wanted) {
    Block& block = shared_->block;
    if (block.bytes.size() < wanted) block.bytes.resize(wanted);
    block.offset = offset;
    block.filled = 0;
    block.error = 0;
    shared_->wanted = wanted;
    shared_->asked = true;
    shared_->news.notify_all();
}

PatientRead::Outcome PatientRead::read(std::int64_t offset, std::span<std::uint8_t> into,
                                       const std::stop_token& stop) {
    if (const std::size_t size = kept(offset, into)) return {size, 0, false};
    if (!start()) return {0, EAGAIN, false};
    const bool goes_on = stride_ > 0 && offset == block_.end();
    stride_ = goes_on ? std::min(2 * stride_, longest_stride) : first_stride;
    std::unique_lock lock(shared_->mutex);
    const auto answered = [&] { return shared_->news.wait(lock, stop, [&] { return !shared_->asked; }); };
    bool here = answered();
    if (here && (shared_->block.offset != offset || shared_->block.filled == 0)) {
        ask(offset, std::clamp(into.size(), stride_, longest_stride));
        here = answered();
    }
    if (!here) {
        lock.unlock();
        leave();
        return {0, 0, true};
    }
    std::swap(block_, shared_->block);
    shared_->block.filled = 0;
    if (goes_on && block_.filled > 0) ask(block_.end(), stride_);
    lock.unlock();
    return {kept(offset, into), block_.error, false};
}

}  // namespace plumbmark::media
