#include "media/internal/encoders.h"

#include <algorithm>
#include <array>

#include "base/worded.h"

namespace plumbmark::media {
namespace {

using base::Category;
using base::Error;

/// Both sides even, as 4:2:0 wants them.
int even(int side) {
    return side + side % 2;
}

void describe(AVCodecContext& context, const ClipWriterOptions& options) {
    context.width = even(options.width);
    context.height = even(options.height);
    context.pix_fmt = AV_PIX_FMT_YUV420P;
    context.sample_aspect_ratio = {static_cast<int>(options.pixel_aspect.num),
                                   static_cast<int>(options.pixel_aspect.den)};
    context.colorspace = AVCOL_SPC_BT709;
    context.color_primaries = AVCOL_PRI_BT709;
    context.color_trc = AVCOL_TRC_BT709;
    context.color_range = AVCOL_RANGE_MPEG;
    context.chroma_sample_location = AVCHROMA_LOC_LEFT;
    // Pictures are counted for the encoder; their times are the container's. MPEG-4 part 2 cannot count finer
    // than 1/65535.
    int num = 1, den = 30;
    av_reduce(&num, &den, options.rate.den, options.rate.num, 65535);
    context.time_base = {std::max(1, num), std::max(1, den)};
    context.framerate = av_inv_q(context.time_base);
    context.gop_size = 24;
    context.max_b_frames = 0;
    context.flags |= AV_CODEC_FLAG_GLOBAL_HEADER | AV_CODEC_FLAG_BITEXACT;
}

/// Near to lossless to the eye: a contact is judged by single pixels.
CodecPtr opened(const AVCodec& codec, const ClipWriterOptions& options) {
    CodecPtr context(avcodec_alloc_context3(&codec));
    if (!context) return nullptr;
    describe(*context, options);
    AVDictionary* settings = nullptr;
    if (std::string(codec.name) == "libx264") {
        av_dict_set(&settings, "preset", "veryfast", 0);
        av_dict_set(&settings, "crf", "16", 0);
    } else if (codec.id == AV_CODEC_ID_H264) {
        const double pixels = static_cast<double>(context->width) * context->height;
        context->bit_rate = static_cast<std::int64_t>(std::clamp(pixels * 8, 1e6, 60e6));
    } else {
        context->flags |= AV_CODEC_FLAG_QSCALE;
        context->global_quality = FF_QP2LAMBDA * 2;
    }
    const int code = avcodec_open2(context.get(), &codec, &settings);
    av_dict_free(&settings);
    return code < 0 ? nullptr : std::move(context);
}

}  // namespace

base::Result<PictureEncoder> open_picture_encoder(const ClipWriterOptions& options) {
    if (!options.without_h264)
        for (const char* name : {"libx264", "libopenh264"})
            if (const AVCodec* codec = avcodec_find_encoder_by_name(name))
                if (CodecPtr context = opened(*codec, options))
                    return PictureEncoder{std::move(context), "H.264", {}};
    if (const AVCodec* codec = avcodec_find_encoder_by_name("mpeg4"))
        if (CodecPtr context = opened(*codec, options))
            return PictureEncoder{
                std::move(context), "MPEG-4 part 2",
                options.without_h264
                    ? base::Sentence()
                    : base::worded("No H.264 encoder (libx264 or libopenh264) is installed; the "
                                   "clip is MPEG-4 part 2, which some players do not show.")};
    return Error{
        Category::unsupported,
        base::worded(
            "Clips cannot be written here: libav has no encoder for H.264 (libx264, libopenh264), and none "
            "for MPEG-4 part 2. Install the distribution's own libavcodec."),
        ""};
}

FramePtr PictureConverter::convert(const RgbaImage& image) {
    FramePtr frame = new_frame();
    frame->format = AV_PIX_FMT_YUV420P;
    frame->width = even(image.width);
    frame->height = even(image.height);
    if (av_frame_get_buffer(frame.get(), 0) < 0) return nullptr;
    const RgbaImage* source = &image;
    RgbaImage padded;
    if (frame->width != image.width || frame->height != image.height) {
        padded = {frame->width, frame->height, {}};
        padded.pixels.resize(std::size_t{4} * static_cast<std::size_t>(padded.width) *
                             static_cast<std::size_t>(padded.height));
        for (int y = 0; y < padded.height; ++y)
            for (int x = 0; x < padded.width; ++x) {
                const std::size_t from = static_cast<std::size_t>(std::min(y, image.height - 1)) *
                                             static_cast<std::size_t>(image.width) +
                                         static_cast<std::size_t>(std::min(x, image.width - 1));
                const std::size_t to = static_cast<std::size_t>(y) * static_cast<std::size_t>(padded.width) +
                                       static_cast<std::size_t>(x);
                std::copy_n(&image.pixels[4 * from], 4, &padded.pixels[4 * to]);
            }
        source = &padded;
    }
    if (!scaler_) {
        scaler_.reset(sws_getContext(
            frame->width, frame->height, AV_PIX_FMT_RGBA, frame->width, frame->height, AV_PIX_FMT_YUV420P,
            SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INP | SWS_FULL_CHR_H_INT, nullptr, nullptr,
            nullptr));
        if (!scaler_) return nullptr;
        const int* matrix = sws_getCoefficients(SWS_CS_ITU709);
        sws_setColorspaceDetails(scaler_.get(), matrix, 1, matrix, 0, 0, 1 << 16, 1 << 16);
    }
    const std::uint8_t* const planes[4] = {source->pixels.data()};
    const int strides[4] = {4 * source->width};
    if (sws_scale(scaler_.get(), planes, strides, 0, source->height, frame->data, frame->linesize) !=
        source->height)
        return nullptr;
    return frame;
}

bool receive_packets(AVCodecContext& context, const PacketTaker& take) {
    for (;;) {
        PacketPtr packet = new_packet();
        const int code = packet ? avcodec_receive_packet(&context, packet.get()) : AVERROR(ENOMEM);
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF) return true;
        if (code < 0 || !take(std::move(packet))) return false;
    }
}

base::Result<SoundEncoder> SoundEncoder::open(const ClipWriterOptions::Sound& sound) {
    const AVCodec* codec = avcodec_find_encoder(AV_CODEC_ID_AAC);
    const Error none{Category::unsupported,
                     base::worded("Sound cannot be written here: libav has no AAC encoder that opens."), ""};
    if (!codec) return none;
    SoundEncoder made;
    made.context_.reset(avcodec_alloc_context3(codec));
    if (!made.context_) return none;
    AVCodecContext& context = *made.context_;
    // The rates that AAC has (ISO/IEC 14496-3, table 1.18).
    constexpr std::array kRates{96000, 88200, 64000, 48000, 44100, 32000, 24000,
                                22050, 16000, 12000, 11025, 8000,  7350};
    const bool known = std::find(kRates.begin(), kRates.end(), sound.rate) != kRates.end();
    context.sample_rate = known ? sound.rate : 48000;
    context.sample_fmt = AV_SAMPLE_FMT_FLTP;
    context.time_base = {1, context.sample_rate};
    context.bit_rate = sound.channels == 1 ? 128'000 : 192'000;
    context.flags |= AV_CODEC_FLAG_GLOBAL_HEADER | AV_CODEC_FLAG_BITEXACT;
    av_channel_layout_default(&context.ch_layout, std::min(2, sound.channels));
    if (avcodec_open2(&context, codec, nullptr) < 0) return none;
    AVChannelLayout given{};
    av_channel_layout_default(&given, sound.channels);
    SwrContext* resampler = nullptr;
    const int code =
        swr_alloc_set_opts2(&resampler, &context.ch_layout, AV_SAMPLE_FMT_FLTP, context.sample_rate, &given,
                            AV_SAMPLE_FMT_FLT, sound.rate, 0, nullptr);
    made.resampler_.reset(resampler);
    if (code < 0 || swr_init(resampler) < 0) return none;
    made.waiting_.resize(static_cast<std::size_t>(context.ch_layout.nb_channels));
    return made;
}

bool SoundEncoder::code(const float* samples, std::int64_t frames, const PacketTaker& take) {
    const bool end = samples == nullptr;
    const int room = swr_get_out_samples(resampler_.get(), static_cast<int>(frames));
    if (room < 0) return false;
    std::vector<std::vector<float>> out(waiting_.size(),
                                        std::vector<float>(static_cast<std::size_t>(room) + 1));
    std::array<std::uint8_t*, 2> planes{};
    for (std::size_t i = 0; i < out.size(); ++i)
        planes[i] = reinterpret_cast<std::uint8_t*>(out[i].data());
    const auto* given = reinterpret_cast<const std::uint8_t*>(samples);
    const int made = swr_convert(resampler_.get(), planes.data(), room, end ? nullptr : &given,
                                 end ? 0 : static_cast<int>(frames));
    if (made < 0) return false;
    for (std::size_t i = 0; i < out.size(); ++i)
        waiting_[i].insert(waiting_[i].end(), out[i].begin(), out[i].begin() + made);
    while (static_cast<int>(waiting_[0].size()) >= context_->frame_size)
        if (!send(context_->frame_size, take)) return false;
    if (!end) return true;
    if (!waiting_[0].empty() && !send(static_cast<int>(waiting_[0].size()), take)) return false;
    return avcodec_send_frame(context_.get(), nullptr) >= 0 && receive_packets(*context_, take);
}

bool SoundEncoder::send(int count, const PacketTaker& take) {
    const FramePtr frame = new_frame();
    frame->format = AV_SAMPLE_FMT_FLTP;
    frame->nb_samples = count;
    frame->sample_rate = context_->sample_rate;
    if (av_channel_layout_copy(&frame->ch_layout, &context_->ch_layout) < 0 ||
        av_frame_get_buffer(frame.get(), 0) < 0)
        return false;
    frame->pts = sent_;
    sent_ += count;
    for (std::size_t i = 0; i < waiting_.size(); ++i) {
        std::copy_n(waiting_[i].begin(), count, reinterpret_cast<float*>(frame->extended_data[i]));
        waiting_[i].erase(waiting_[i].begin(), waiting_[i].begin() + count);
    }
    return avcodec_send_frame(context_.get(), frame.get()) >= 0 && receive_packets(*context_, take);
}

}  // namespace plumbmark::media
