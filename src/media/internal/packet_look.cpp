#include "media/internal/packet_look.h"

#include <algorithm>

#include "base/catalogue.h"

namespace plumbmark::media {
namespace {

/// Reads bits, most significant first; past the end it reads zeros.
class Bits {
  public:
    Bits(const std::uint8_t* data, std::int64_t size) : data_(data), bits_(size * 8) {}
    unsigned bit() {
        if (at_ >= bits_) return 0;
        const unsigned value = (data_[at_ / 8] >> (7 - at_ % 8)) & 1U;
        ++at_;
        return value;
    }
    unsigned bits(int n) {
        unsigned value = 0;
        while (n-- > 0)
            value = value << 1 | bit();
        return value;
    }
    unsigned exp_golomb() {
        int zeros = 0;
        while (zeros < 31 && at_ < bits_ && bit() == 0)
            ++zeros;
        return (1U << zeros) - 1 + bits(zeros);
    }

  private:
    const std::uint8_t* data_;
    std::int64_t bits_, at_ = 0;
};

// The payload without the bytes 03 that keep start codes from appearing by chance (H.264 7.4.1.1).
std::vector<std::uint8_t> unescaped(const std::uint8_t* data, std::int64_t size) {
    std::vector<std::uint8_t> plain;
    int zeros = 0;
    for (std::int64_t i = 0; i < size; ++i) {
        if (zeros >= 2 && data[i] == 3) {
            zeros = 0;
            continue;
        }
        zeros = data[i] == 0 ? zeros + 1 : 0;
        plain.push_back(data[i]);
    }
    return plain;
}

// True when an SEI unit of H.264 holds a recovery point that is exact from its own picture on:
// recovery_frame_cnt 0 and exact_match_flag 1. Gradual refresh is not one.
bool has_exact_recovery_point(const std::uint8_t* sei, std::int64_t size) {
    const auto plain = unescaped(sei + 1, std::min<std::int64_t>(size - 1, 4096));
    const auto total = static_cast<std::int64_t>(plain.size());
    std::int64_t at = 0;
    const auto number = [&] {
        std::int64_t value = 0;
        while (at < total && plain[static_cast<std::size_t>(at)] == 0xFF)
            value += 255, ++at;
        if (at < total) value += plain[static_cast<std::size_t>(at++)];
        return value;
    };
    while (at + 2 < total) {
        const std::int64_t type = number();
        const std::int64_t length = number();
        if (type == 6 && at < total) {
            Bits bits(plain.data() + at, std::min(length, total - at));
            return bits.exp_golomb() == 0 && bits.bit() == 1;
        }
        at += length;
    }
    return false;
}

struct Vp9Header {
    bool valid = false, shown = false, key = false;
};

Vp9Header read_vp9(const std::uint8_t* data, std::int64_t size) {
    Bits bits(data, size);
    if (size < 1 || bits.bits(2) != 2) return {};
    const unsigned low = bits.bit();
    const unsigned profile = low + 2 * bits.bit();
    if (profile == 3) bits.bit();
    if (bits.bit()) return {true, true, false};  // shows a picture decoded before
    const bool key = bits.bit() == 0;
    return {true, bits.bit() == 1, key};
}

PacketLook look_vp9(const AVPacket& packet) {
    const std::uint8_t* data = packet.data;
    const std::int64_t size = packet.size;
    const unsigned marker = data[size - 1];
    std::vector<Vp9Header> headers;
    const std::int64_t count = (marker & 7U) + 1;
    const std::int64_t bytes = ((marker >> 3) & 3U) + 1;
    const std::int64_t index = 2 + bytes * count;
    if ((marker & 0xE0U) == 0xC0U && size >= index && data[size - index] == marker) {
        std::int64_t at = 0;
        for (std::int64_t i = 0; i < count; ++i) {
            std::int64_t length = 0;
            for (std::int64_t b = 0; b < bytes; ++b) {
                length |= static_cast<std::int64_t>(data[size - index + 1 + i * bytes + b]) << (8 * b);
            }
            if (length > size - index - at)
                return {false, base::to_translate("a superframe's index is wrong"), true};
            if (length > 0) headers.push_back(read_vp9(data + at, length));
            at += length;
        }
    } else {
        headers.push_back(read_vp9(data, size));
    }
    const auto shown =
        std::count_if(headers.begin(), headers.end(), [](const Vp9Header& h) { return h.shown; });
    const bool valid =
        std::all_of(headers.begin(), headers.end(), [](const Vp9Header& h) { return h.valid; });
    if (!valid) return {false, base::to_translate("a packet has no valid frame header"), true};
    if (shown != 1) return {false, "a packet holds no or several shown pictures", false};
    return {headers.front().key, nullptr, false};
}

// B pictures of MPEG-1, -2 and -4 are never referred to. Their coding type follows the start code of the
// picture.
bool is_mpeg_b(const AVPacket& packet, bool mpeg4) {
    constexpr int header = 256;  // a picture's start code comes after no more than sequence and group headers
    const std::uint8_t code = mpeg4 ? 0xB6 : 0x00;
    const std::uint8_t* data = packet.data;
    for (int i = 0; i + 5 < std::min(packet.size, header); ++i) {
        if (data[i] != 0 || data[i + 1] != 0 || data[i + 2] != 1 || data[i + 3] != code) continue;
        return mpeg4 ? data[i + 4] >> 6 == 2 : ((data[i + 5] >> 3) & 7) == 3;
    }
    return false;
}

PacketLook look_vp8(const AVPacket& packet) {
    const bool key = (packet.data[0] & 1U) == 0;
    if ((packet.data[0] & 0x10U) == 0) return {key, "a packet holds a picture that is not shown", false};
    return {key, nullptr, false};
}

}  // namespace

/// What was met in one packet of NAL units.
struct PacketLooker::Walk {
    bool picture = false;      // a slice was met
    bool first_slice = false;  // and the first one begins the picture
    bool start = false;
    bool recovery = false;
    bool unreferenced = false;
    int layer = 0;
    const char* doubt = nullptr;
};

PacketLooker::PacketLooker(const AVCodecParameters& parameters) {
    const AVCodecDescriptor* descriptor = avcodec_descriptor_get(parameters.codec_id);
    intra_only_ = descriptor && (descriptor->props & AV_CODEC_PROP_INTRA_ONLY);
    const std::uint8_t* extra = parameters.extradata;
    const int size = parameters.extradata_size;
    switch (parameters.codec_id) {
        case AV_CODEC_ID_H264:
            kind_ = Kind::h264;
            if (size > 6 && extra[0] == 1) length_bytes_ = (extra[4] & 3) + 1;
            break;
        case AV_CODEC_ID_HEVC:
            kind_ = Kind::hevc;
            if (size > 22 && (extra[0] || extra[1] || extra[2] > 1)) length_bytes_ = (extra[21] & 3) + 1;
            break;
        case AV_CODEC_ID_VP9:
            kind_ = Kind::vp9;
            break;
        case AV_CODEC_ID_VP8:
            kind_ = Kind::vp8;
            break;
        case AV_CODEC_ID_AV1:
            kind_ = Kind::by_flag;
            break;
        case AV_CODEC_ID_MPEG1VIDEO:
        case AV_CODEC_ID_MPEG2VIDEO:
            kind_ = Kind::mpeg12;
            break;
        case AV_CODEC_ID_MPEG4:
            kind_ = Kind::mpeg4;
            break;
        case AV_CODEC_ID_MJPEG:
        case AV_CODEC_ID_PRORES:
        case AV_CODEC_ID_DNXHD:
            kind_ = Kind::each;
            break;
        default:
            break;
    }
}

PacketLook PacketLooker::look(const AVPacket& packet) const {
    if (packet.size <= 0) return {false, base::to_translate("a packet is empty"), true};
    switch (kind_) {
        case Kind::h264:
        case Kind::hevc:
            return look_nal(packet);
        case Kind::vp9:
            return look_vp9(packet);
        case Kind::vp8:
            return look_vp8(packet);
        case Kind::mpeg12:
        case Kind::mpeg4:
            return {(packet.flags & AV_PKT_FLAG_KEY) != 0, nullptr, false,
                    is_mpeg_b(packet, kind_ == Kind::mpeg4)};
        case Kind::by_flag:
            return {(packet.flags & AV_PKT_FLAG_KEY) != 0, nullptr, false};
        case Kind::each:
            return {true, nullptr, false};
        case Kind::unknown:
            break;
    }
    return {intra_only_, nullptr, false};
}

// False when the unit cannot be one of this codec.
bool PacketLooker::take_nal(const std::uint8_t* nal, std::int64_t size, Walk& walk) const {
    if (size < 1) return true;
    if (nal[0] & 0x80U) return false;  // forbidden_zero_bit
    if (kind_ == Kind::h264) {
        const unsigned type = nal[0] & 31U;
        if (type == 6 && size > 2) walk.recovery = walk.recovery || has_exact_recovery_point(nal, size);
        if ((type != 1 && type != 5) || walk.picture || size < 2) return true;
        walk.picture = true;
        walk.first_slice = (nal[1] & 0x80U) != 0;  // first_mb_in_slice, ue(v) 0
        walk.start = type == 5 || walk.recovery;
        walk.unreferenced = (nal[0] & 0x60U) == 0;  // nal_ref_idc: the same for all slices of a picture
        return true;
    }
    const unsigned type = (nal[0] >> 1) & 63U;
    if (type == 36 && size == 2)
        walk.doubt = "the stream holds an end-of-sequence mark";  // pictures after it may be left out
    if (size < 3) return size == 2;
    if (type > 31 || walk.picture || (nal[0] & 1U) != 0 || (nal[1] >> 3) != 0)
        return true;  // not VCL, or another layer
    walk.picture = true;
    walk.first_slice = (nal[2] & 0x80U) != 0;
    walk.start = type >= 16 && type <= 21;
    walk.unreferenced = type < 16 && type % 2 == 0;
    walk.layer = static_cast<int>(nal[1] & 7U) - 1;  // nuh_temporal_id_plus1
    if (type >= 16 && type <= 18) walk.doubt = "the stream holds a broken link";
    return true;
}

bool PacketLooker::walk_lengths(const AVPacket& packet, Walk& walk) const {
    std::int64_t at = 0;
    while (at < packet.size) {
        if (packet.size - at < length_bytes_) return false;
        std::int64_t length = 0;
        for (int i = 0; i < length_bytes_; ++i)
            length = length << 8 | packet.data[at + i];
        at += length_bytes_;
        if (length <= 0 || length > packet.size - at) return false;
        if (!take_nal(packet.data + at, length, walk)) return false;
        at += length;
    }
    return true;
}

// H.264 table 7-1, H.265 table 7-1.
bool PacketLooker::is_slice(std::uint8_t first) const {
    return kind_ == Kind::h264 ? (first & 31U) >= 1 && (first & 31U) <= 5 : ((first >> 1) & 63U) <= 31;
}

void PacketLooker::walk_start_codes(const AVPacket& packet, Walk& walk) const {
    const std::uint8_t* data = packet.data;
    const std::int64_t size = packet.size;
    std::int64_t begin = -1;
    for (std::int64_t i = 0; i + 2 < size && !walk.picture; ++i) {
        if (data[i] != 0 || data[i + 1] != 0 || data[i + 2] != 1) continue;
        if (begin >= 0) take_nal(data + begin, i - begin, walk);
        begin = i + 3;
        i += 2;
        // A slice tells all by its first bytes. To look for its end would be to touch every byte of the file.
        if (begin < size && is_slice(data[begin])) {
            take_nal(data + begin, size - begin, walk);
            begin = -1;
        }
    }
    if (begin >= 0 && !walk.picture) take_nal(data + begin, size - begin, walk);
    // An end-of-sequence mark stands behind the picture, at the packet's very end.
    if (walk.picture && size >= 5 && data[size - 5] == 0 && data[size - 4] == 0 && data[size - 3] == 1)
        take_nal(data + size - 2, 2, walk);
}

PacketLook PacketLooker::look_nal(const AVPacket& packet) const {
    Walk walk;
    if (length_bytes_ > 0) {
        if (!walk_lengths(packet, walk))
            return {false, base::to_translate("a packet's parts do not fit its size"), true};
    } else {
        walk_start_codes(packet, walk);
    }
    if (!walk.picture) return {false, base::to_translate("a packet holds no picture"), true};
    if (!walk.first_slice) return {walk.start, base::to_translate("a picture's first part is missing"), true};
    return {walk.start, walk.doubt, false, walk.unreferenced, walk.layer};
}

}  // namespace plumbmark::media
