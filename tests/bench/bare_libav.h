// The way that most programs go: the container's seek to the key frame before, then decode on until the
// wanted time.
#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

#include <memory>

#include "contestant.h"

namespace plumbmark::bench {

class BareLibav final : public Contestant {
  public:
    /// threads 0: libav's own choice. Errors: io (libav cannot open or decode it).
    static base::Result<std::unique_ptr<BareLibav>> open(const Clip& clip, int threads);

    bool show(std::int64_t n) override;
    bool next() override;
    Look look() override;
    /// Presentation time of the picture shown, in ticks of the stream.
    [[nodiscard]] std::int64_t pts() const { return frame_->best_effort_timestamp; }

    /// Reads all packets without decoding; returns how many belong to the clip's stream.
    std::int64_t read_packets();

  private:
    struct FormatCloser {
        void operator()(AVFormatContext* context) const { avformat_close_input(&context); }
    };
    struct CodecFreer {
        void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }
    };
    struct PacketFreer {
        void operator()(AVPacket* packet) const { av_packet_free(&packet); }
    };
    struct FrameFreer {
        void operator()(AVFrame* frame) const { av_frame_free(&frame); }
    };

    explicit BareLibav(const Clip& clip) : clip_(clip) {}
    bool open_file(int threads);
    bool feed();

    const Clip& clip_;
    std::unique_ptr<AVFormatContext, FormatCloser> file_;
    std::unique_ptr<AVCodecContext, CodecFreer> decoder_;
    std::unique_ptr<AVPacket, PacketFreer> packet_{av_packet_alloc()};
    std::unique_ptr<AVFrame, FrameFreer> frame_{av_frame_alloc()};
    int stream_ = -1;
};

}  // namespace plumbmark::bench
