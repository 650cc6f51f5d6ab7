#include "av.h"
#include "clip_file.h"

namespace plumbmark::scene {
namespace {

std::vector<std::uint8_t> plane_of(const std::uint8_t* from, int stride, int width, int height) {
    std::vector<std::uint8_t> out(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (int y = 0; y < height; ++y)
        std::memcpy(out.data() + static_cast<std::ptrdiff_t>(y) * width,
                    from + static_cast<std::ptrdiff_t>(y) * stride, static_cast<std::size_t>(width));
    return out;
}

Picture picture_of(const AVFrame& f) {
    return {f.width, f.height, plane_of(f.data[0], f.linesize[0], f.width, f.height),
            plane_of(f.data[1], f.linesize[1], f.width / 2, f.height / 2),
            plane_of(f.data[2], f.linesize[2], f.width / 2, f.height / 2)};
}

using Take = std::function<bool(const Picture&, std::int64_t)>;

// False: 'take' wants no more, or an error stands in 'result'.
bool drain(AVCodecContext* decoder, AVFrame* frame, const std::string& path, const Take& take,
           base::Result<void>& result) {
    for (;;) {
        const int code = avcodec_receive_frame(decoder, frame);
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF) return true;
        if (code < 0 || frame->format != AV_PIX_FMT_YUV420P) {
            result = code < 0
                         ? av::failure(path + ": a picture cannot be decoded", code)
                         : base::Error{base::Category::damaged, path + ": not an 8-bit 4:2:0 picture", ""};
            return false;
        }
        if (!take(picture_of(*frame), frame->best_effort_timestamp)) return false;
    }
}

}  // namespace

base::Result<ClipFacts> read_clip(const std::string& path, const Take& take) {
    AVFormatContext* raw = nullptr;
    int code = avformat_open_input(&raw, path.c_str(), nullptr, nullptr);
    if (code < 0) return av::failure(path + " cannot be opened", code);
    const av::Input input(raw);
    code = avformat_find_stream_info(input.get(), nullptr);
    if (code < 0) return av::failure(path + ": no streams", code);
    const AVCodec* codec = nullptr;
    const int index = av_find_best_stream(input.get(), AVMEDIA_TYPE_VIDEO, -1, -1, &codec, 0);
    if (index < 0) return av::failure(path + ": no pictures", index);
    const AVStream* stream = input->streams[index];
    const av::Codec decoder(avcodec_alloc_context3(codec));
    avcodec_parameters_to_context(decoder.get(), stream->codecpar);
    decoder->thread_count = 2;
    decoder->pkt_timebase = stream->time_base;
    code = avcodec_open2(decoder.get(), codec, nullptr);
    if (code < 0) return av::failure(path + ": no decoder", code);
    const ClipFacts facts{{stream->time_base.num, stream->time_base.den},
                          stream->codecpar->width,
                          stream->codecpar->height,
                          av::is_turned(stream)};
    const av::Packet packet(av_packet_alloc());
    const av::Frame frame(av_frame_alloc());
    base::Result<void> result;
    bool more = true;
    while (more && av_read_frame(input.get(), packet.get()) >= 0) {
        if (packet->stream_index == index) {
            code = avcodec_send_packet(decoder.get(), packet.get());
            if (code < 0) return av::failure(path + ": damaged", code);
            more = drain(decoder.get(), frame.get(), path, take, result);
        }
        av_packet_unref(packet.get());
    }
    if (more && avcodec_send_packet(decoder.get(), nullptr) >= 0)
        drain(decoder.get(), frame.get(), path, take, result);
    if (!result) return result.error();
    return facts;
}

}  // namespace plumbmark::scene
