#include <algorithm>

#include "av.h"
#include "clip_file.h"
#include "sound.h"

namespace plumbmark::scene {
namespace {

class Mp4Writer : public ClipWriter {
  public:
    Mp4Writer(const View& view, const std::vector<std::int16_t>& sound) : view_(view), sound_(sound) {}

    base::Result<void> open(const std::string& path);
    base::Result<void> add(const Picture& picture, std::int64_t tick) override;
    base::Result<void> finish() override;

  private:
    base::Result<void> open_video();
    base::Result<void> open_sound();
    base::Result<void> encode(AVCodecContext* codec, AVStream* stream, const AVFrame* frame);
    base::Result<void> sound_until(double seconds);

    View view_;
    std::vector<std::int16_t> sound_;
    av::Output output_;
    av::Codec video_, audio_;
    AVStream* video_stream_ = nullptr;
    AVStream* audio_stream_ = nullptr;
    av::Packet packet_{av_packet_alloc()};
    std::size_t heard_ = 0;
};

base::Result<void> Mp4Writer::open_video() {
    const AVCodec* encoder = avcodec_find_encoder_by_name("libx264");
    if (encoder == nullptr)
        return base::Error{base::Category::unsupported,
                           "libav was built without libx264; install the distribution's libavcodec", ""};
    video_.reset(avcodec_alloc_context3(encoder));
    video_->width = view_.turned ? view_.camera.height : view_.camera.width;
    video_->height = view_.turned ? view_.camera.width : view_.camera.height;
    video_->pix_fmt = AV_PIX_FMT_YUV420P;
    video_->time_base = {static_cast<int>(view_.clock.time_base.num),
                         static_cast<int>(view_.clock.time_base.den)};
    video_->framerate = {static_cast<int>(view_.clock.time_base.den), static_cast<int>(view_.clock.step)};
    video_->gop_size = 120;
    video_->max_b_frames = 3;
    video_->color_range = AVCOL_RANGE_MPEG;
    video_->color_primaries = AVCOL_PRI_BT709;
    video_->color_trc = AVCOL_TRC_BT709;
    video_->colorspace = AVCOL_SPC_BT709;
    video_->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    av_opt_set(video_->priv_data, "preset", "medium", 0);
    av_opt_set(video_->priv_data, "crf", std::to_string(view_.quality).c_str(), 0);
    const int code = avcodec_open2(video_.get(), encoder, nullptr);
    if (code < 0) return av::failure("The picture encoder does not open", code);
    video_stream_ = avformat_new_stream(output_.get(), nullptr);
    avcodec_parameters_from_context(video_stream_->codecpar, video_.get());
    video_stream_->time_base = video_->time_base;
    video_stream_->avg_frame_rate = video_->framerate;
    if (view_.turned && !av::set_turned(video_stream_, video_->height))
        return base::Error{base::Category::io, "No memory for the display matrix", ""};
    return {};
}

base::Result<void> Mp4Writer::open_sound() {
    const AVCodec* encoder = avcodec_find_encoder(AV_CODEC_ID_AAC);
    if (encoder == nullptr)
        return base::Error{base::Category::unsupported, "libav was built without its AAC encoder", ""};
    audio_.reset(avcodec_alloc_context3(encoder));
    audio_->sample_fmt = AV_SAMPLE_FMT_FLTP;
    audio_->sample_rate = kSampleRate;
    audio_->bit_rate = 64000;
    audio_->time_base = {1, kSampleRate};
    av::set_mono(audio_.get());
    audio_->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    const int code = avcodec_open2(audio_.get(), encoder, nullptr);
    if (code < 0) return av::failure("The sound encoder does not open", code);
    audio_stream_ = avformat_new_stream(output_.get(), nullptr);
    avcodec_parameters_from_context(audio_stream_->codecpar, audio_.get());
    audio_stream_->time_base = audio_->time_base;
    return {};
}

base::Result<void> Mp4Writer::open(const std::string& path) {
    AVFormatContext* raw = nullptr;
    int code = avformat_alloc_output_context2(&raw, nullptr, "mp4", path.c_str());
    if (code < 0) return av::failure(path + ": no MP4 writer", code);
    output_.reset(raw);
    output_->flags |= AVFMT_FLAG_BITEXACT;
    if (auto opened = open_video(); !opened) return opened;
    if (auto opened = open_sound(); !opened) return opened;
    code = avio_open(&output_->pb, path.c_str(), AVIO_FLAG_WRITE);
    if (code < 0) return av::failure(path + " cannot be written", code);
    AVDictionary* options = nullptr;
    av_dict_set(&options, "movflags", "+faststart", 0);
    av_dict_set(&options, "video_track_timescale", std::to_string(view_.clock.time_base.den).c_str(), 0);
    // Time stamps stay as they are: a clip that begins later than zero gets an empty edit.
    output_->avoid_negative_ts = 0;
    code = avformat_write_header(output_.get(), &options);
    av_dict_free(&options);
    if (code < 0) return av::failure(path + ": the header cannot be written", code);
    return {};
}

base::Result<void> Mp4Writer::encode(AVCodecContext* codec, AVStream* stream, const AVFrame* frame) {
    int code = avcodec_send_frame(codec, frame);
    if (code < 0) return av::failure("The encoder refuses a frame", code);
    for (;;) {
        code = avcodec_receive_packet(codec, packet_.get());
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF) return {};
        if (code < 0) return av::failure("The encoder fails", code);
        av_packet_rescale_ts(packet_.get(), codec->time_base, stream->time_base);
        packet_->stream_index = stream->index;
        code = av_interleaved_write_frame(output_.get(), packet_.get());
        if (code < 0) return av::failure("The clip cannot be written", code);
    }
}

base::Result<void> Mp4Writer::sound_until(double seconds) {
    const auto size = static_cast<std::size_t>(audio_->frame_size);
    const std::int64_t first =
        base::floor_to_time(view_.clock.first, view_.clock.time_base).ns * kSampleRate / 1'000'000'000;
    while (heard_ < sound_.size() && static_cast<double>(heard_) < seconds * kSampleRate) {
        av::Frame frame(av_frame_alloc());
        frame->format = AV_SAMPLE_FMT_FLTP;
        frame->sample_rate = kSampleRate;
        av_channel_layout_copy(&frame->ch_layout, &audio_->ch_layout);
        frame->nb_samples = static_cast<int>(std::min(size, sound_.size() - heard_));
        if (const int code = av_frame_get_buffer(frame.get(), 0); code < 0)
            return av::failure("No memory for sound", code);
        auto* samples = reinterpret_cast<float*>(frame->data[0]);
        for (int i = 0; i < frame->nb_samples; ++i)
            samples[i] = static_cast<float>(sound_[heard_ + static_cast<std::size_t>(i)]) / 32768.0F;
        frame->pts = first + static_cast<std::int64_t>(heard_);
        heard_ += static_cast<std::size_t>(frame->nb_samples);
        if (auto done = encode(audio_.get(), audio_stream_, frame.get()); !done) return done;
    }
    return {};
}

void copy_plane(const std::vector<std::uint8_t>& from, std::uint8_t* to, int stride, int width, int height) {
    for (int y = 0; y < height; ++y)
        std::memcpy(to + static_cast<std::ptrdiff_t>(y) * stride,
                    from.data() + static_cast<std::ptrdiff_t>(y) * width, static_cast<std::size_t>(width));
}

base::Result<void> Mp4Writer::add(const Picture& picture, std::int64_t tick) {
    av::Frame frame(av_frame_alloc());
    frame->format = AV_PIX_FMT_YUV420P;
    frame->width = picture.width;
    frame->height = picture.height;
    if (const int code = av_frame_get_buffer(frame.get(), 0); code < 0)
        return av::failure("No memory for a picture", code);
    copy_plane(picture.y, frame->data[0], frame->linesize[0], picture.width, picture.height);
    copy_plane(picture.u, frame->data[1], frame->linesize[1], picture.width / 2, picture.height / 2);
    copy_plane(picture.v, frame->data[2], frame->linesize[2], picture.width / 2, picture.height / 2);
    frame->pts = tick;
    if (auto done = encode(video_.get(), video_stream_, frame.get()); !done) return done;
    const double since = static_cast<double>(tick - view_.clock.first) *
                         static_cast<double>(view_.clock.time_base.num) /
                         static_cast<double>(view_.clock.time_base.den);
    return sound_until(since);
}

base::Result<void> Mp4Writer::finish() {
    if (auto done = sound_until(1e9); !done) return done;
    if (auto done = encode(video_.get(), video_stream_, nullptr); !done) return done;
    if (auto done = encode(audio_.get(), audio_stream_, nullptr); !done) return done;
    if (const int code = av_write_trailer(output_.get()); code < 0)
        return av::failure("The clip cannot be finished", code);
    return {};
}

}  // namespace

base::Result<std::unique_ptr<ClipWriter>> ClipWriter::create(const std::string& path, const View& view,
                                                             const std::vector<std::int16_t>& sound) {
    av_log_set_level(AV_LOG_ERROR);
    auto writer = std::make_unique<Mp4Writer>(view, sound);
    if (auto opened = writer->open(path); !opened) return opened.error();
    return std::unique_ptr<ClipWriter>(std::move(writer));
}

}  // namespace plumbmark::scene
