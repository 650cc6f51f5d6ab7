#include "bare_libav.h"

#include "planes.h"

namespace plumbmark::bench {

base::Result<std::unique_ptr<BareLibav>> BareLibav::open(const Clip& clip, int threads) {
    std::unique_ptr<BareLibav> made(new BareLibav(clip));
    if (!made->open_file(threads))
        return base::Error{base::Category::io, "libav cannot open or decode this clip.", clip.path.string()};
    return made;
}

bool BareLibav::open_file(int threads) {
    AVFormatContext* opened = nullptr;
    if (avformat_open_input(&opened, clip_.path.c_str(), nullptr, nullptr) < 0) return false;
    file_.reset(opened);
    if (avformat_find_stream_info(file_.get(), nullptr) < 0) return false;
    stream_ = av_find_best_stream(file_.get(), AVMEDIA_TYPE_VIDEO, -1, -1, nullptr, 0);
    if (stream_ < 0) return false;
    const AVStream* stream = file_->streams[stream_];
    for (unsigned i = 0; i < file_->nb_streams; ++i)
        file_->streams[i]->discard = static_cast<int>(i) == stream_ ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
    const AVCodec* codec = avcodec_find_decoder(stream->codecpar->codec_id);
    if (codec == nullptr) return false;
    decoder_.reset(avcodec_alloc_context3(codec));
    if (!decoder_ || avcodec_parameters_to_context(decoder_.get(), stream->codecpar) < 0) return false;
    decoder_->pkt_timebase = stream->time_base;
    decoder_->thread_count = threads;
    decoder_->flags |= AV_CODEC_FLAG_UNALIGNED;
    return avcodec_open2(decoder_.get(), codec, nullptr) >= 0;
}

bool BareLibav::feed() {
    while (av_read_frame(file_.get(), packet_.get()) >= 0) {
        const bool wanted = packet_->stream_index == stream_;
        if (wanted) avcodec_send_packet(decoder_.get(), packet_.get());
        av_packet_unref(packet_.get());
        if (wanted) return true;
    }
    avcodec_send_packet(decoder_.get(), nullptr);
    return true;
}

bool BareLibav::next() {
    while (true) {
        const int got = avcodec_receive_frame(decoder_.get(), frame_.get());
        if (got >= 0) return true;
        if (got == AVERROR_EOF || !feed()) return false;
    }
}

bool BareLibav::show(std::int64_t n) {
    const std::int64_t wanted = clip_.pts(n);
    if (av_seek_frame(file_.get(), stream_, wanted, AVSEEK_FLAG_BACKWARD) < 0) return false;
    avcodec_flush_buffers(decoder_.get());
    while (next()) {
        if (pts() >= wanted) return true;
    }
    return false;
}

Look BareLibav::look() {
    const AVRational base = file_->streams[stream_]->time_base;
    return {static_cast<double>(pts()) * av_q2d(base),
            planes_md5(frame_->data, frame_->linesize, frame_->format, frame_->width, frame_->height)};
}

std::int64_t BareLibav::read_packets() {
    std::int64_t count = 0;
    while (av_read_frame(file_.get(), packet_.get()) >= 0) {
        count += packet_->stream_index == stream_ ? 1 : 0;
        av_packet_unref(packet_.get());
    }
    return count;
}

Entrant bare_libav_entrant() {
    Entrant entrant;
    entrant.name = "bare libav";
    entrant.thread_choices = {1, 2, 0};
    entrant.open = [](const Clip& clip, int threads) -> base::Result<std::unique_ptr<Contestant>> {
        auto opened = BareLibav::open(clip, threads);
        if (!opened) return opened.error();
        return std::unique_ptr<Contestant>(std::move(*opened));
    };
    return entrant;
}

}  // namespace plumbmark::bench
