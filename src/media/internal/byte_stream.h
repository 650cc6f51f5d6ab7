// A clip's bytes as libav reads them.
#pragma once

#include <memory>
#include <optional>
#include <stop_token>

#include "media/clip_bytes.h"
#include "media/internal/libav.h"

namespace plumbmark::media {

/// Gives libav the bytes between 0 and the size at opening, never more. A read that fails is tried again a
/// few times; what then fails is kept in trouble() until clear_trouble(). One owner thread; stays at its
/// address.
class ByteStream {
  public:
    /// Null when memory is short.
    static std::unique_ptr<ByteStream> over(std::unique_ptr<ClipBytes> bytes, std::stop_token stop);
    ~ByteStream();
    ByteStream(const ByteStream&) = delete;
    ByteStream& operator=(const ByteStream&) = delete;

    [[nodiscard]] AVIOContext* context() { return context_; }
    [[nodiscard]] ClipBytes& bytes() const { return *bytes_; }
    [[nodiscard]] const std::stop_token& stop() const { return stop_; }
    void set_stop(std::stop_token stop) { stop_ = std::move(stop); }

    /// How many bytes libav may take from now on: a file that leads its reader in circles ends there with
    /// AVERROR_INVALIDDATA.
    void allow(std::int64_t bytes) { allowed_ = bytes; }
    [[nodiscard]] bool exhausted() const { return allowed_ <= 0; }

    /// The last read that failed, or that met the end before the size said at opening.
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }
    [[nodiscard]] bool ended_early() const { return ended_early_; }
    void clear_trouble();

  private:
    ByteStream(std::unique_ptr<ClipBytes> bytes, std::stop_token stop)
        : bytes_(std::move(bytes)), stop_(std::move(stop)) {}
    static int read(void* self, std::uint8_t* into, int size);
    static std::int64_t seek(void* self, std::int64_t offset, int whence);
    int read_some(std::uint8_t* into, int size);

    std::unique_ptr<ClipBytes> bytes_;
    std::stop_token stop_;
    AVIOContext* context_ = nullptr;
    std::int64_t position_ = 0, allowed_ = INT64_MAX;
    std::optional<base::Error> trouble_;
    bool ended_early_ = false;
};

}  // namespace plumbmark::media
