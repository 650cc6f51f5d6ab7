#include "media/clip_writer.h"

#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <numeric>
#include <vector>

#include "base/worded.h"
#include "media/internal/encoders.h"
#include "media/new_file.h"

namespace plumbmark::media {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr int kBuffer = 1 << 16;

int write_out(void* file, BytesToWrite* bytes, int size) {
    return static_cast<NewFile*>(file)->write(bytes, static_cast<std::size_t>(size)) ? size : AVERROR(EIO);
}

std::int64_t seek_out(void* file, std::int64_t offset, int whence) {
    auto* out = static_cast<NewFile*>(file);
    if ((whence & AVSEEK_SIZE) != 0) return out->size();
    return out->seek(offset, whence & ~AVSEEK_FORCE).value_or(AVERROR(EIO));
}

struct OutputFreer {
    void operator()(AVFormatContext* format) const {
        if (format->pb) {
            av_freep(&format->pb->buffer);
            avio_context_free(&format->pb);
        }
        avformat_free_context(format);
    }
};
using OutputPtr = std::unique_ptr<AVFormatContext, OutputFreer>;

Error bad(base::Sentence sentence) {
    return {Category::bad_input, std::move(sentence), ""};
}

/// A file whose bytes go through 'file', which must outlive it.
OutputPtr mp4_into(NewFile& file) {
    AVFormatContext* made = nullptr;
    if (avformat_alloc_output_context2(&made, nullptr, "mp4", nullptr) < 0) return nullptr;
    OutputPtr format(made);
    auto* buffer = static_cast<unsigned char*>(av_malloc(kBuffer));
    format->pb =
        buffer ? avio_alloc_context(buffer, kBuffer, 1, &file, nullptr, write_out, seek_out) : nullptr;
    if (!format->pb) return nullptr;
    // Where the index is moved to the front the muxer reads what it wrote, by name; "file:" keeps a colon in
    // it from being taken for another protocol.
    format->url = av_strdup(("file:" + file.part().string()).c_str());
    format->flags |= AVFMT_FLAG_BITEXACT | AVFMT_FLAG_CUSTOM_IO;
    return format;
}

}  // namespace

class ClipWriter::Impl {
  public:
    Impl(NewFile file, const ClipWriterOptions& options) : file_(std::move(file)), options_(options) {}

    Result<void> begin() {
        quiet_libav();
        unit_ = base::reduced(options_.time_base);
        auto encoder = open_picture_encoder(options_);
        if (!encoder) return encoder.error();
        pictures_ = std::move(*encoder);
        kind_ = pictures_.makes + " in MP4";
        if (options_.sound) {
            auto sound = SoundEncoder::open(*options_.sound);
            if (!sound) return sound.error();
            sound_.emplace(std::move(*sound));
        }
        format_ = mp4_into(file_);
        if (!format_)
            return Error{Category::io, base::worded("The clip cannot be begun; memory may be short."), ""};
        video_ = add_stream(*pictures_.context, {1, static_cast<int>(unit_.den)});
        if (sound_) audio_ = add_stream(sound_->context(), {1, sound_->context().sample_rate});
        AVDictionary* settings = nullptr;
        av_dict_set(&settings, "movflags", "+faststart+write_colr", 0);
        const int code = avformat_write_header(format_.get(), &settings);
        av_dict_free(&settings);
        return code < 0 ? failed() : Result<void>{};
    }

    Result<void> add(const RgbaImage& picture, std::int64_t ticks) {
        if (auto able = check(); !able) return able;
        if (picture.width != options_.width || picture.height != options_.height)
            return end(bad(base::worded("A picture of {} by {} does not fit into a clip of {} by {}.",
                                        picture.width, picture.height, options_.width, options_.height)));
        if (auto placed = place(ticks); !placed) return placed;
        const FramePtr frame = converter_.convert(picture);
        if (!frame)
            return end(
                {Category::io, base::worded("The picture could not be coded; memory may be short."), ""});
        frame->pts = sent_++;
        if (avcodec_send_frame(pictures_.context.get(), frame.get()) < 0) return failed();
        return receive() && write_ready() ? Result<void>{} : failed();
    }

    Result<void> add_sound(const float* samples, std::int64_t frames) {
        if (auto able = check(); !able) return able;
        if (!sound_) return end(bad(base::worded("This clip was begun without sound.")));
        if (frames <= 0) return {};
        return sound_->code(samples, frames, sound_taker()) ? Result<void>{} : failed();
    }

    Result<void> finish(std::int64_t last) {
        if (auto able = check(); !able) return able;
        if (sent_ == 0) return end(bad(base::worded("A clip without a picture cannot be written.")));
        if (auto placed = place(last); !placed) return placed;
        if (avcodec_send_frame(pictures_.context.get(), nullptr) < 0 || !receive() || !write_ready())
            return failed();
        if (sound_ && !sound_->code(nullptr, 0, sound_taker())) return failed();
        if (av_write_trailer(format_.get()) < 0) return failed();
        avio_flush(format_->pb);
        if (file_.trouble()) return failed();
        format_.reset();
        over_ = bad(base::worded("The clip is finished."));
        return file_.keep();
    }

    [[nodiscard]] const std::string& kind() const { return kind_; }
    [[nodiscard]] const base::Sentence& notice() const { return pictures_.notice; }

  private:
    AVStream* add_stream(const AVCodecContext& context, AVRational unit) {
        AVStream* stream = avformat_new_stream(format_.get(), nullptr);
        avcodec_parameters_from_context(stream->codecpar, &context);
        stream->time_base = unit;
        stream->sample_aspect_ratio = context.sample_aspect_ratio;
        if (context.codec_type == AVMEDIA_TYPE_VIDEO) stream->avg_frame_rate = context.framerate;
        return stream;
    }

    /// What was refused or broke off once stays so.
    Result<void> end(Error error) {
        over_ = error;
        return error;
    }

    Result<void> failed() {
        if (file_.trouble()) return end(*file_.trouble());
        return end({Category::io,
                    base::worded("Coding the clip failed; memory may be short. Nothing is left of it."), ""});
    }

    Result<void> check() {
        if (over_) return *over_;
        if (options_.stop.stop_requested())
            return end({Category::cancelled,
                        base::worded("Writing the clip was stopped; nothing is left of it."), ""});
        return {};
    }

    /// Remembers when the next picture is shown, in whole units of the file.
    Result<void> place(std::int64_t ticks) {
        std::int64_t units = 0;
        if (__builtin_mul_overflow(ticks, unit_.num, &units))
            return end(bad(base::worded("A picture's time is out of range.")));
        if (times_.empty()) {
            times_.push_back(units);
            return {};
        }
        if (units <= times_.back())
            return end(bad(base::worded("Each picture must be shown later than the one before.")));
        // The muxer makes coarse units finer, by doubling them up to 10,000 a second.
        std::int64_t scale = unit_.den;
        while (scale < 10'000)
            scale *= 2;
        if (units - times_.back() > INT32_MAX / (scale / unit_.den))
            return end(bad(base::worded(
                "Between two pictures lies more time than a clip can say exactly in units of this size.")));
        times_.push_back(units);
        return {};
    }

    bool receive() {
        return receive_packets(*pictures_.context, [this](PacketPtr packet) {
            waiting_.push_back(std::move(packet));
            return true;
        });
    }

    /// A picture's length is known once the next one's time is.
    bool write_ready() {
        while (!waiting_.empty()) {
            const auto index = static_cast<std::size_t>(waiting_.front()->pts);
            if (index + 1 >= times_.size()) return true;
            PacketPtr packet = std::move(waiting_.front());
            waiting_.pop_front();
            packet->pts = packet->dts = times_[index];
            packet->duration = times_[index + 1] - times_[index];
            if (!write(*packet, *video_, {1, static_cast<int>(unit_.den)})) return false;
        }
        return true;
    }

    PacketTaker sound_taker() {
        return [this](PacketPtr packet) {
            return write(*packet, *audio_, {1, sound_->context().sample_rate});
        };
    }

    bool write(AVPacket& packet, const AVStream& stream, AVRational unit) {
        av_packet_rescale_ts(&packet, unit, stream.time_base);
        packet.stream_index = stream.index;
        return av_interleaved_write_frame(format_.get(), &packet) >= 0 && !file_.trouble();
    }

    NewFile file_;
    ClipWriterOptions options_;
    base::Rational unit_{1, 1};
    PictureEncoder pictures_;
    PictureConverter converter_;
    std::optional<SoundEncoder> sound_;
    OutputPtr format_;
    AVStream* video_ = nullptr;
    AVStream* audio_ = nullptr;
    std::vector<std::int64_t> times_;  ///< of the pictures so far, and at the end when the last one goes
    std::deque<PacketPtr> waiting_;
    std::int64_t sent_ = 0;
    std::string kind_;
    std::optional<Error> over_;
};

ClipWriter::ClipWriter(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
ClipWriter::~ClipWriter() = default;
ClipWriter::ClipWriter(ClipWriter&&) noexcept = default;
ClipWriter& ClipWriter::operator=(ClipWriter&&) noexcept = default;

Result<ClipWriter> ClipWriter::create(const std::filesystem::path& path, const ClipWriterOptions& options) {
    const auto fits = [](int side) { return side >= 2 && side <= 16384; };
    if (!fits(options.width) || !fits(options.height))
        return bad(base::worded("A clip is 2 to 16384 pixels wide and high, not {} by {}.", options.width,
                                options.height));
    if (options.time_base.num <= 0 || options.time_base.den <= 0 ||
        base::reduced(options.time_base).den > INT32_MAX)
        return bad(
            base::worded("A clip's times need a unit that is positive and no finer than 1/2147483647 s."));
    if (options.rate.num <= 0 || options.rate.den <= 0 || options.pixel_aspect.num <= 0 ||
        options.pixel_aspect.den <= 0 || options.pixel_aspect.num > INT32_MAX ||
        options.pixel_aspect.den > INT32_MAX)
        return bad(base::worded("A clip's rate and the shape of its pixels are positive."));
    if (options.sound &&
        (options.sound->rate <= 0 || options.sound->channels <= 0 || options.sound->channels > 64))
        return bad(base::worded("Sound has a positive rate and 1 to 64 channels."));
    auto file = NewFile::create(path);
    if (!file) return file.error();
    auto impl = std::make_unique<Impl>(std::move(*file), options);
    if (auto begun = impl->begin(); !begun) return begun.error();
    return ClipWriter(std::move(impl));
}

Result<void> ClipWriter::add(const RgbaImage& picture, std::int64_t ticks) {
    return impl_->add(picture, ticks);
}
Result<void> ClipWriter::add_sound(const float* samples, std::int64_t frames) {
    return impl_->add_sound(samples, frames);
}
Result<void> ClipWriter::finish(std::int64_t end) {
    return impl_->finish(end);
}
const std::string& ClipWriter::kind() const {
    return impl_->kind();
}
const base::Sentence& ClipWriter::notice() const {
    return impl_->notice();
}

}  // namespace plumbmark::media
