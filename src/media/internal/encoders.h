// The encoders of what is written: pictures, and sound.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "base/result.h"
#include "media/clip_writer.h"
#include "media/internal/libav.h"

namespace plumbmark::media {

/// Takes a coded packet; false: it could not be written, and coding ends.
using PacketTaker = std::function<bool(PacketPtr)>;

/// An encoder for pictures of this size, opened, and what it makes ("H.264").
struct PictureEncoder {
    CodecPtr context;
    std::string makes;
    base::Sentence notice;  ///< where it is not the usual one
};
[[nodiscard]] base::Result<PictureEncoder> open_picture_encoder(const ClipWriterOptions& options);

/// R'G'B' as 4:2:0 with BT.709's matrix (Rec. ITU-R BT.709-6, 3.2 to 3.5), limited range; odd sides get their
/// last line once more. One size.
class PictureConverter {
  public:
    /// Null when memory is short.
    [[nodiscard]] FramePtr convert(const RgbaImage& image);

  private:
    ScalerPtr scaler_;
};

/// Samples to AAC, in the encoder's own portions.
class SoundEncoder {
  public:
    [[nodiscard]] static base::Result<SoundEncoder> open(const ClipWriterOptions::Sound& sound);
    [[nodiscard]] const AVCodecContext& context() const { return *context_; }
    /// Null samples: the end; all that is left is coded.
    [[nodiscard]] bool code(const float* samples, std::int64_t frames, const PacketTaker& take);

  private:
    SoundEncoder() = default;
    bool send(int count, const PacketTaker& take);
    bool receive(const PacketTaker& take);

    CodecPtr context_;
    ResamplerPtr resampler_;
    std::vector<std::vector<float>> waiting_;  ///< one for each channel
    std::int64_t sent_ = 0;
};

/// Hands on all that the encoder has ready.
[[nodiscard]] bool receive_packets(AVCodecContext& context, const PacketTaker& take);

}  // namespace plumbmark::media
