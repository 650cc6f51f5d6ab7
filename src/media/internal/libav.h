// The one place where this module meets FFmpeg: owning types, and every difference between its releases 5.1
// and 7.1.
#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/avutil.h>
#include <libavutil/display.h>
#include <libavutil/imgutils.h>
#include <libavutil/mem.h>
#include <libavutil/opt.h>
#include <libavutil/pixdesc.h>
#include <libavutil/sha.h>
#include <libavutil/tx.h>
#include <libswresample/swresample.h>
#include <libswscale/swscale.h>
}

#include <cstdint>
#include <cstring>
#include <memory>
#include <string>
#include <type_traits>
#include <vector>

#include "base/time.h"

namespace plumbmark::media {

struct FormatCloser {
    void operator()(AVFormatContext* context) const { avformat_close_input(&context); }
};
struct CodecFreer {
    void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }
};
struct ParametersFreer {
    void operator()(AVCodecParameters* parameters) const { avcodec_parameters_free(&parameters); }
};
struct PacketFreer {
    void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};
struct FrameFreer {
    void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct ScalerFreer {
    void operator()(SwsContext* scaler) const { sws_freeContext(scaler); }
};
struct ResamplerFreer {
    void operator()(SwrContext* resampler) const { swr_free(&resampler); }
};
struct TransformFreer {
    void operator()(AVTXContext* transform) const { av_tx_uninit(&transform); }
};
struct MemoryFreer {
    void operator()(void* memory) const { av_free(memory); }
};

using FormatPtr = std::unique_ptr<AVFormatContext, FormatCloser>;
using CodecPtr = std::unique_ptr<AVCodecContext, CodecFreer>;
using ParametersPtr = std::unique_ptr<AVCodecParameters, ParametersFreer>;
using PacketPtr = std::unique_ptr<AVPacket, PacketFreer>;
using FramePtr = std::unique_ptr<AVFrame, FrameFreer>;
using ScalerPtr = std::unique_ptr<SwsContext, ScalerFreer>;
using ResamplerPtr = std::unique_ptr<SwrContext, ResamplerFreer>;
using TransformPtr = std::unique_ptr<AVTXContext, TransformFreer>;

/// The decoder's frame behind a Picture.
struct NativeFrame {
    FramePtr frame;
    bool in_pool = false;  ///< its pixels lie in a FramePool's block
};

inline PacketPtr new_packet() {
    return PacketPtr(av_packet_alloc());
}
inline FramePtr new_frame() {
    return FramePtr(av_frame_alloc());
}

/// libav's own words for an error code.
inline std::string error_words(int code) {
    char text[AV_ERROR_MAX_STRING_SIZE] = {};
    return av_strerror(code, text, sizeof text) == 0 ? text : "error " + std::to_string(code);
}

inline base::Rational from_av(AVRational r) {
    return r.den == 0 ? base::Rational{0, 1} : base::Rational{r.num, r.den};
}

/// What a file states in one of libav's enumerations, or `otherwise` where it is none of the values below
/// `count`. Some readers of libav copy the file's number unchecked, and C++ does not even let one load a
/// number outside an enumeration; so the bytes are looked at first.
template <typename Enumeration>
Enumeration stated(const Enumeration& stored, Enumeration count, Enumeration otherwise) {
    std::underlying_type_t<Enumeration> number{};
    std::memcpy(&number, &stored, sizeof number);
    const auto value = static_cast<std::int64_t>(number);
    if (value < 0 || value >= static_cast<std::int64_t>(count)) return otherwise;
    return static_cast<Enumeration>(number);
}

inline AVColorSpace stated(const AVColorSpace& space) {
    return stated(space, AVCOL_SPC_NB, AVCOL_SPC_UNSPECIFIED);
}
inline AVColorRange stated(const AVColorRange& range) {
    return stated(range, AVCOL_RANGE_NB, AVCOL_RANGE_UNSPECIFIED);
}
inline AVColorPrimaries stated(const AVColorPrimaries& primaries) {
    return stated(primaries, AVCOL_PRI_NB, AVCOL_PRI_UNSPECIFIED);
}
inline AVColorTransferCharacteristic stated(const AVColorTransferCharacteristic& transfer) {
    return stated(transfer, AVCOL_TRC_NB, AVCOL_TRC_UNSPECIFIED);
}
inline AVChromaLocation stated(const AVChromaLocation& site) {
    return stated(site, AVCHROMA_LOC_NB, AVCHROMA_LOC_UNSPECIFIED);
}
inline AVFieldOrder stated(const AVFieldOrder& order) {
    return stated(order, static_cast<AVFieldOrder>(AV_FIELD_BT + 1), AV_FIELD_UNKNOWN);
}

/// FFmpeg 6.1 moved the key mark from a field into the flags.
inline bool is_key(const AVFrame& frame) {
#ifdef AV_FRAME_FLAG_KEY
    return (frame.flags & AV_FRAME_FLAG_KEY) != 0;
#else
    return frame.key_frame != 0;
#endif
}

/// Lets the decoder's threads call get_buffer2 themselves; FFmpeg 6 always does, earlier releases when told
/// to.
inline void allow_callbacks_on_threads([[maybe_unused]] AVCodecContext& context) {
#if LIBAVCODEC_VERSION_MAJOR < 60
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wdeprecated-declarations"
    context.thread_safe_callbacks = 1;
#pragma GCC diagnostic pop
#endif
}

/// What a callback that writes is handed; const from FFmpeg 7 on.
#if LIBAVFORMAT_VERSION_MAJOR >= 61
using BytesToWrite = const std::uint8_t;
#else
using BytesToWrite = std::uint8_t;
#endif

/// The 3 x 3 display matrix of a stream, or null. FFmpeg 7 keeps it with the codec parameters, earlier
/// releases with the stream.
inline const std::int32_t* display_matrix(const AVStream& stream) {
    constexpr std::size_t needed = 9 * sizeof(std::int32_t);
#if LIBAVCODEC_VERSION_MAJOR >= 61
    const AVPacketSideData* data = av_packet_side_data_get(
        stream.codecpar->coded_side_data, stream.codecpar->nb_coded_side_data, AV_PKT_DATA_DISPLAYMATRIX);
    return data && data->size >= needed ? reinterpret_cast<const std::int32_t*>(data->data) : nullptr;
#else
    std::size_t size = 0;
    const std::uint8_t* data = av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, &size);
    return data && size >= needed ? reinterpret_cast<const std::int32_t*>(data) : nullptr;
#endif
}

/// Makes libav quiet: its messages go to an internal ring of the last ones instead of standard error. Called
/// before any other use of libav; cheap to call again. Also bounds each of its allocations to 1 GiB.
void quiet_libav();

/// The last error messages of libav, oldest first (at most 32); for diagnosis.
std::vector<std::string> recent_libav_messages();

}  // namespace plumbmark::media
