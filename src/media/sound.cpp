#include "media/sound.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "media/internal/sound_file.h"

namespace plumbmark::media {
namespace {

using base::Category;
using base::Duration;
using base::Result;
using base::Time;

// Where so many packets in a row give nothing, the rest is taken for lost: 100 of AAC are two seconds.
constexpr int kMostRefused = 100;
// Decoders lean on what came before: AAC on one packet, MP3 on a reservoir of up to 511 bytes, Opus on 80 ms
// (RFC 7845, 4.6).
constexpr Duration kRunUp{100'000'000};
// Times further away than this are damage; within it no sum of times leaves 64 bits.
constexpr double kFarthestSeconds = 3.2e8;
constexpr int kMostChannels = 64, kLowestRate = 1000, kHighestRate = 768'000;

/// Samples of any decoder as interleaved floats, nothing resampled or mixed: each value converted alone.
class Interleaver {
  public:
    /// False where the frame is none that can be used.
    bool convert(const AVFrame& frame, std::vector<float>& out) {
        const int channels = frame.ch_layout.nb_channels;
        if (channels < 1 || channels > kMostChannels || frame.sample_rate < kLowestRate ||
            frame.sample_rate > kHighestRate || frame.nb_samples < 1)
            return false;
        if (!fits(frame) && !prepare(frame)) return false;
        out.resize(static_cast<std::size_t>(frame.nb_samples) * static_cast<std::size_t>(channels));
        auto* to = reinterpret_cast<std::uint8_t*>(out.data());
        const int made = swr_convert(converter_.get(), &to, frame.nb_samples,
                                     const_cast<const std::uint8_t**>(frame.extended_data), frame.nb_samples);
        return made == frame.nb_samples;
    }

  private:
    bool fits(const AVFrame& frame) const {
        return converter_ && frame.format == format_ && frame.sample_rate == rate_ &&
               frame.ch_layout.nb_channels == channels_;
    }
    bool prepare(const AVFrame& frame) {
        format_ = frame.format;
        rate_ = frame.sample_rate;
        channels_ = frame.ch_layout.nb_channels;
        // One made-up layout on both sides: names of channels play no part in converting each alone.
        AVChannelLayout layout = {};
        av_channel_layout_default(&layout, channels_);
        SwrContext* raw = nullptr;
        const int set = swr_alloc_set_opts2(&raw, &layout, AV_SAMPLE_FMT_FLT, rate_, &layout,
                                            static_cast<AVSampleFormat>(format_), rate_, 0, nullptr);
        converter_.reset(raw);
        av_channel_layout_uninit(&layout);
        if (set < 0 || swr_init(raw) < 0) converter_.reset();
        return converter_ != nullptr;
    }

    ResamplerPtr converter_;
    int format_ = -1, rate_ = 0, channels_ = 0;
};

/// Gives each block its time: counted in samples while the file's times agree, set anew where they do not.
class SoundClock {
  public:
    explicit SoundClock(base::Rational time_base) : time_base_(time_base) {}

    void forget() { known_ = false; }
    [[nodiscard]] bool usable(std::int64_t pts) const {
        return std::abs(static_cast<double>(pts) * static_cast<double>(time_base_.num) /
                        static_cast<double>(time_base_.den)) < kFarthestSeconds;
    }
    /// 'pts' is usable.
    void place(SoundBlock& block) {
        const Time counted = known_ ? after(counted_frames_) : Time{0};
        const bool same_rate = known_ && rate_ == block.rate;
        const Time given = block.pts ? base::floor_to_time(*block.pts, time_base_) : counted;
        const Duration apart = given - counted;
        block.gap = known_ && std::abs(apart.ns) > tolerance(block.rate) ? apart : Duration{0};
        if (!same_rate || block.gap.ns != 0) {
            start_ = known_ && block.gap.ns == 0 ? counted : given;
            counted_frames_ = 0;
            rate_ = block.rate;
            known_ = true;
        }
        block.time = after(counted_frames_);
        counted_frames_ += block.frames();
    }

  private:
    [[nodiscard]] Time after(std::int64_t frames) const {
        return start_ + Duration{base::floor_to_time(frames, {1, rate_}).ns};
    }
    /// One tick, one sample, and the roundings of three times.
    [[nodiscard]] std::int64_t tolerance(int rate) const {
        return base::floor_to_time(1, time_base_).ns + base::floor_to_time(1, {1, rate}).ns + 3;
    }

    base::Rational time_base_;
    bool known_ = false;
    Time start_;  // of the stretch without gaps
    std::int64_t counted_frames_ = 0;
    int rate_ = 0;
};

Result<CodecPtr> open_decoder(const AVStream& stream, const std::filesystem::path& path) {
    const AVCodecParameters& parameters = *stream.codecpar;
    const AVCodec* codec = avcodec_find_decoder(parameters.codec_id);
    CodecPtr context(codec ? avcodec_alloc_context3(codec) : nullptr);
    const bool ready = context && avcodec_parameters_to_context(context.get(), &parameters) >= 0;
    if (ready) {
        context->pkt_timebase = stream.time_base;  // cutting away priming counts in it
        context->thread_count = 1;
    }
    if (!ready || avcodec_open2(context.get(), codec, nullptr) < 0) {
        return clip_error(
            Category::unsupported,
            base::worded("This build cannot decode the sound ({}). The pictures are not concerned.",
                         avcodec_get_name(parameters.codec_id)),
            path);
    }
    return context;
}

}  // namespace

class SoundReader::Impl {
  public:
    Impl(std::filesystem::path path, SoundOptions options, SoundFile file, CodecPtr decoder)
        : path_(std::move(path)),
          options_(std::move(options)),
          file_(std::move(file)),
          decoder_(std::move(decoder)),
          clock_(file_.chosen().time_base) {
        options_.stream = file_.chosen().ordinal;
    }

    [[nodiscard]] const SoundFile& file() const { return file_; }
    [[nodiscard]] std::optional<Time> good_until() const { return good_until_; }

    Result<std::optional<SoundBlock>> read() {
        if (pending_) {
            good_until_ = pending_->end();
            return std::exchange(pending_, std::nullopt);
        }
        auto block = decode();
        if (block && *block) good_until_ = (*block)->end();
        return block;
    }

    Result<void> seek(Time t) {
        good_until_.reset();
        for (const std::int64_t back : {2 * kRunUp.ns, 20 * kRunUp.ns}) {
            if (!jump(t.ns - back)) continue;
            const auto reached = run_up_to(t, true);
            if (!reached) return reached.error();
            if (*reached) return {};
        }
        if (auto again = rewind(); !again) return again.error();
        const auto reached = run_up_to(t, false);
        return reached ? Result<void>{} : Result<void>(reached.error());
    }

  private:
    bool jump(std::int64_t ns) {
        const auto& base = file_.chosen().time_base;
        const double ticks =
            static_cast<double>(ns) / 1e9 * static_cast<double>(base.den) / static_cast<double>(base.num);
        if (!(std::abs(ticks) < 9e18)) return false;
        forget();
        return file_.seek_time(static_cast<std::int64_t>(std::floor(ticks)));
    }

    Result<void> rewind() {
        auto file = SoundFile::open(path_, options_);
        if (!file) return file.error();
        if (auto changed = what_changed(file_.bytes().mark(), file->bytes().mark(), path_)) return *changed;
        auto decoder = open_decoder(file->stream(), path_);
        if (!decoder) return decoder.error();
        file_ = std::move(*file);
        decoder_ = std::move(*decoder);
        forget();
        return {};
    }

    void forget() {
        pending_.reset();
        clock_.forget();
        avcodec_flush_buffers(decoder_.get());
        draining_ = false;
        refused_ = 0;
    }

    /// Decodes to the block that holds t, and keeps it. False when that began too late for its samples to be
    /// trusted, which only counts after a jump.
    Result<bool> run_up_to(Time t, bool after_jump) {
        bool ran_up = !after_jump;
        for (;;) {
            auto block = decode();
            if (!block && after_jump && block.error().category != Category::cancelled) return false;
            if (!block) return block.error();
            if (!*block) return ran_up;
            ran_up = ran_up || (*block)->time <= t - kRunUp;
            if (!ran_up) return false;
            if ((*block)->end() <= t) continue;
            pending_ = std::move(**block);
            return true;
        }
    }

    /// The next block that the decoder gives; none at the end.
    Result<std::optional<SoundBlock>> decode() {
        for (;;) {
            const int got = avcodec_receive_frame(decoder_.get(), frame_.get());
            if (got >= 0) {
                auto block = take_frame();
                av_frame_unref(frame_.get());
                if (!block) return block.error();
                if (*block) return block;
            } else if (got == AVERROR_EOF) {
                if (refused_ > 0) return lost(Category::damaged, base::worded("its data is damaged"));
                return std::optional<SoundBlock>{};
            } else if (got != AVERROR(EAGAIN)) {
                ++refused_;
            } else if (auto fed = feed(); !fed) {
                return fed.error();
            }
            if (refused_ > kMostRefused) return lost(Category::damaged, base::worded("its data is damaged"));
        }
    }

    Result<void> feed() {
        switch (file_.read(*packet_)) {
            case SoundFile::Read::packet: {
                const int sent = avcodec_send_packet(decoder_.get(), packet_.get());
                av_packet_unref(packet_.get());
                if (sent < 0) ++refused_;
                return {};
            }
            case SoundFile::Read::end:
                if (!std::exchange(draining_, true)) (void)avcodec_send_packet(decoder_.get(), nullptr);
                return {};
            case SoundFile::Read::cancelled:
                return clip_error(Category::cancelled, base::worded("Reading the sound was stopped."), path_);
            case SoundFile::Read::failed:
                break;
        }
        return unreadable();
    }

    /// The file is told as changed when it is.
    base::Error unreadable() const {
        const auto changed =
            what_happened(file_.bytes().mark(), path_, options_.open_bytes, std::nullopt, options_.stop);
        if (changed) return *changed;
        return lost(Category::io, file_.failure());
    }

    /// None where the frame holds nothing that can be used.
    Result<std::optional<SoundBlock>> take_frame() {
        SoundBlock block;
        if (frame_->best_effort_timestamp != AV_NOPTS_VALUE) block.pts = frame_->best_effort_timestamp;
        if (!interleaver_.convert(*frame_, block.samples) || (block.pts && !clock_.usable(*block.pts))) {
            ++refused_;
            return std::optional<SoundBlock>{};
        }
        block.rate = frame_->sample_rate;
        block.channels = frame_->ch_layout.nb_channels;
        refused_ = 0;
        clock_.place(block);
        return std::optional<SoundBlock>(std::move(block));
    }

    base::Error lost(Category category, const base::Sentence& why) const {
        const Time from = good_until_.value_or(Time{0});
        return clip_error(
            category,
            base::worded("The sound cannot be read from {} on ({}). The pictures are not concerned.",
                         base::clock_text(from), why),
            path_);
    }

    std::filesystem::path path_;
    SoundOptions options_;
    SoundFile file_;
    CodecPtr decoder_;
    PacketPtr packet_ = new_packet();
    FramePtr frame_ = new_frame();
    Interleaver interleaver_;
    SoundClock clock_;
    std::optional<SoundBlock> pending_;
    std::optional<Time> good_until_;
    bool draining_ = false;
    int refused_ = 0;  // packets and frames in a row that gave nothing
};

Result<SoundReader> SoundReader::open(const std::filesystem::path& path, SoundOptions options) {
    auto file = SoundFile::open(path, options);
    if (!file) return file.error();
    auto decoder = open_decoder(file->stream(), path);
    if (!decoder) return decoder.error();
    return SoundReader(
        std::make_unique<Impl>(path, std::move(options), std::move(*file), std::move(*decoder)));
}

SoundReader::SoundReader(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
SoundReader::~SoundReader() = default;
SoundReader::SoundReader(SoundReader&&) noexcept = default;
SoundReader& SoundReader::operator=(SoundReader&&) noexcept = default;

const std::vector<SoundStream>& SoundReader::streams() const {
    return impl_->file().streams();
}
const SoundStream& SoundReader::stream() const {
    return impl_->file().chosen();
}
Result<std::optional<SoundBlock>> SoundReader::read() {
    return impl_->read();
}
Result<void> SoundReader::seek(Time t) {
    return impl_->seek(t);
}
std::optional<Time> SoundReader::good_until() const {
    return impl_->good_until();
}

}  // namespace plumbmark::media
