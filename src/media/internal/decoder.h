// A video decoder whose frames know which packet they came from.
#pragma once

#include <cstdint>

#include "base/result.h"
#include "media/internal/libav.h"

namespace plumbmark::media {

class FramePool;

/// Wraps one libav decoder. Each packet is sent with its number in the file in place of its time, so that
/// each frame that comes out (in shown order) names its packet, whatever times the container made up. One
/// owner thread.
class Decoder {
  public:
    enum class Out { frame, more, end };

    /// threads 0: as many as suit this machine. Pictures are drawn into the pool, which must outlive the
    /// decoder and all others with it; null: into libav's own memory.
    static base::Result<Decoder> open(const AVStream& stream, int threads, FramePool* pool = nullptr);

    /// False when the decoder refuses the packet (damaged). Take all frames out before sending the next one.
    bool send(AVPacket& packet, std::int64_t number);
    /// No more packets come; the frames still held back follow.
    void finish();
    /// The next frame: frame.pts is its packet's number, frame.pkt_dts its packet's decode time as libav
    /// guesses it.
    Out receive(AVFrame& frame);
    /// Forgets everything, ready for a packet from elsewhere.
    void reset();
    /// Decoding errors seen so far (refused packets and failed frames).
    [[nodiscard]] std::int64_t errors() const { return errors_; }

  private:
    CodecPtr context_;
    std::int64_t errors_ = 0;
};

}  // namespace plumbmark::media
