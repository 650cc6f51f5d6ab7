#include "media/internal/decoder.h"

#include <algorithm>
#include <thread>

#include "media/internal/container.h"
#include "media/internal/frame_pool.h"

namespace plumbmark::media {
namespace {

// Two frame threads beat one and also libav's own choice on two cores; more than four only cost latency in a
// seek.
int suitable_threads() {
    return static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 4U));
}

}  // namespace

base::Result<Decoder> Decoder::open(const AVStream& stream, int threads, FramePool* pool) {
    using base::Category;
    const AVCodec* codec = avcodec_find_decoder(stream.codecpar->codec_id);
    const std::string name = avcodec_get_name(stream.codecpar->codec_id);
    if (!codec)
        return base::Error{
            Category::unsupported, base::worded("This build has no decoder for {} video.", name), {}};
    Decoder made;
    made.context_.reset(avcodec_alloc_context3(codec));
    if (!made.context_ || avcodec_parameters_to_context(made.context_.get(), stream.codecpar) < 0) {
        return base::Error{Category::io, base::worded("Not enough memory for the {} decoder.", name), {}};
    }
    made.context_->pkt_timebase = stream.time_base;
    // A single picture's own header may claim another size than the file's.
    made.context_->max_pixels = most_pixels;
    made.context_->thread_count = threads > 0 ? threads : suitable_threads();
    // Else libav keeps columns in the picture that the stream's crop window leaves out, to stay aligned.
    made.context_->flags |= AV_CODEC_FLAG_UNALIGNED;
    if (pool) pool->serve(*made.context_);
    const int opened = avcodec_open2(made.context_.get(), codec, nullptr);
    if (opened < 0) {
        return base::Error{
            Category::unsupported,
            base::worded("The {} decoder cannot read this stream ({}).", name, error_words(opened)),
            {}};
    }
    return made;
}

bool Decoder::send(AVPacket& packet, std::int64_t number) {
    if (packet.size <= 0) return true;  // libav would take it for the end of the stream
    packet.pts = number;
    const int sent = avcodec_send_packet(context_.get(), &packet);
    if (sent < 0) ++errors_;
    return sent >= 0;
}

void Decoder::finish() {
    avcodec_send_packet(context_.get(), nullptr);
}

Decoder::Out Decoder::receive(AVFrame& frame) {
    // A failed frame is reported once and does not end the stream; the bound keeps a decoder from spinning.
    for (int failures = 0; failures < 64; ++failures) {
        const int got = avcodec_receive_frame(context_.get(), &frame);
        if (got >= 0) return Out::frame;
        if (got == AVERROR(EAGAIN)) return Out::more;
        if (got == AVERROR_EOF) return Out::end;
        ++errors_;
    }
    return Out::more;
}

void Decoder::reset() {
    avcodec_flush_buffers(context_.get());
}

}  // namespace plumbmark::media
