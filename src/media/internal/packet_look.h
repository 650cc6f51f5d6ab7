// A look at a packet's first bits: whether it is one whole shown picture, and whether decoding can begin
// there.
#pragma once

#include <cstdint>
#include <string>

#include "media/internal/libav.h"

namespace plumbmark::media {

/// What a packet's make-up says.
struct PacketLook {
    bool start = false;  ///< decoding may begin here; all that is shown from here on comes out exactly
    const char* doubt = nullptr;  ///< why the packet may not be exactly one shown picture; null when it is
    bool broken = false;          ///< the doubt is damage
    /// No other picture of this temporal layer, or of one below it, is made from this one.
    bool unreferenced = false;
    int layer = 0;  ///< temporal layer (HEVC; 0 elsewhere)
};

/// Looks at packets of one stream. Only marks in the bit stream are read, nothing is decoded:
/// H.264 (ITU-T H.264, 7.3.1 NAL units, 7.4.1 nal_ref_idc, D.1.8 recovery point), HEVC (ITU-T H.265, 7.3.1.2,
/// 7.4.2.2 sub-layer non-reference pictures), VP9 (bitstream specification v0.6, 6.2 and annex B
/// superframes), VP8 (RFC 6386, 9.1), MPEG-1 and -2 (ITU-T H.262, 6.3.9 picture_coding_type), MPEG-4 (ISO/IEC
/// 14496-2, 6.3.5 vop_coding_type).
class PacketLooker {
  public:
    explicit PacketLooker(const AVCodecParameters& parameters);

    /// Whether frames of this codec can be told from packets at all.
    [[nodiscard]] bool knows_codec() const { return kind_ != Kind::unknown; }
    /// Whether each picture stands alone.
    [[nodiscard]] bool intra_only() const { return intra_only_; }
    [[nodiscard]] PacketLook look(const AVPacket& packet) const;

  private:
    enum class Kind { unknown, h264, hevc, vp9, vp8, mpeg12, mpeg4, by_flag, each };
    struct Walk;
    [[nodiscard]] PacketLook look_nal(const AVPacket& packet) const;
    bool take_nal(const std::uint8_t* nal, std::int64_t size, Walk& walk) const;
    [[nodiscard]] bool is_slice(std::uint8_t first) const;
    bool walk_lengths(const AVPacket& packet, Walk& walk) const;
    void walk_start_codes(const AVPacket& packet, Walk& walk) const;

    Kind kind_ = Kind::unknown;
    bool intra_only_ = false;
    int length_bytes_ = 0;  // of a NAL unit's length field; 0: start codes
};

}  // namespace plumbmark::media
