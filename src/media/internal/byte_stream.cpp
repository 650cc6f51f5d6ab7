#include "media/internal/byte_stream.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <thread>

namespace plumbmark::media {
namespace {

// With this one the scan of ten minutes of 1080p60 in memory (mp4, mkv, ts) is as fast as over libav's own
// file reader, or faster; other sizes have not been compared.
constexpr int buffer_bytes = 64 << 10;
constexpr int attempts = 3;  // a drive that wakes up, or a loose cable, often answers the second time
constexpr std::chrono::milliseconds pause{20};
constexpr std::size_t sector_bytes = 4096;

}  // namespace

std::unique_ptr<ByteStream> ByteStream::over(std::unique_ptr<ClipBytes> bytes, std::stop_token stop) {
    std::unique_ptr<ByteStream> made(new ByteStream(std::move(bytes), std::move(stop)));
    auto* buffer = static_cast<unsigned char*>(av_malloc(buffer_bytes));
    if (!buffer) return nullptr;
    made->context_ = avio_alloc_context(buffer, buffer_bytes, 0, made.get(), read, nullptr, seek);
    if (!made->context_) {
        av_free(buffer);
        return nullptr;
    }
    return made;
}

ByteStream::~ByteStream() {
    if (context_) av_freep(&context_->buffer);  // libav may have exchanged the one it was given
    avio_context_free(&context_);
}

void ByteStream::clear_trouble() {
    trouble_.reset();
    ended_early_ = false;
    context_->error = 0;
}

int ByteStream::read(void* self, std::uint8_t* into, int size) {
    return static_cast<ByteStream*>(self)->read_some(into, size);
}

int ByteStream::read_some(std::uint8_t* into, int size) {
    const std::int64_t left = bytes_->mark().size - position_;
    if (left <= 0) return AVERROR_EOF;
    if (allowed_ <= 0) return AVERROR_INVALIDDATA;
    auto wanted = static_cast<std::size_t>(std::min<std::int64_t>({left, size, allowed_}));
    for (int attempt = 1;; ++attempt) {
        if (stop_.stop_requested()) return AVERROR_EXIT;
        const auto got = bytes_->read(position_, {into, wanted}, stop_);
        if (got && *got > 0) {
            const auto taken = static_cast<std::int64_t>(std::min(*got, wanted));
            position_ += taken;
            allowed_ -= taken;
            return static_cast<int>(taken);
        }
        if (got) {
            ended_early_ = true;
            return AVERROR_EOF;
        }
        if (got.error().category == base::Category::cancelled) return AVERROR_EXIT;
        if (attempt == attempts) {
            trouble_ = got.error();
            return AVERROR(EIO);
        }
        wanted = std::min(wanted, sector_bytes);  // what lies before a bad place can be read up to it
        std::this_thread::sleep_for(pause);
    }
}

std::int64_t ByteStream::seek(void* self, std::int64_t offset, int whence) {
    auto& stream = *static_cast<ByteStream*>(self);
    const std::int64_t size = stream.bytes_->mark().size;
    switch (whence & ~AVSEEK_FORCE) {
        case AVSEEK_SIZE:
            return size;
        case SEEK_SET:
            break;
        case SEEK_CUR:
            if (__builtin_add_overflow(offset, stream.position_, &offset)) return AVERROR(EINVAL);
            break;
        case SEEK_END:
            if (__builtin_add_overflow(offset, size, &offset)) return AVERROR(EINVAL);
            break;
        default:
            return AVERROR(EINVAL);
    }
    if (offset < 0) return AVERROR(EINVAL);
    return stream.position_ = offset;
}

}  // namespace plumbmark::media
