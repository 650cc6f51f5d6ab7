// The memory that decoders draw their pictures into. Freed blocks are used again at once, because fresh pages
// cost a decoder a tenth of its time, and every byte that lives is counted, whoever holds it.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <unordered_map>
#include <vector>

#include "media/internal/libav.h"

namespace plumbmark::media {

/// Any thread. Blocks outlive the pool's owner: each keeps the pool's books alive.
class FramePool {
  public:
    FramePool();
    ~FramePool();
    FramePool(const FramePool&) = delete;
    FramePool& operator=(const FramePool&) = delete;

    /// Makes the decoder draw into this pool's blocks, where its codec and format allow that; else libav's
    /// own memory is used, which is not counted here. Call before avcodec_open2; the pool must outlive the
    /// decoder.
    void serve(AVCodecContext& context);

    /// Bytes of blocks that a decoder, a picture or anyone else still holds.
    [[nodiscard]] std::size_t live_bytes() const;
    /// Bytes of blocks that wait to be used again.
    [[nodiscard]] std::size_t idle_bytes() const;
    /// Whether the frame's pixels lie in a live block of this pool.
    [[nodiscard]] bool owns(const AVFrame& frame) const;

    struct Books;

  private:
    static int fill(AVCodecContext* context, AVFrame* frame, int flags);
    std::shared_ptr<Books> books_;
};

}  // namespace plumbmark::media
