// Owning types for libav, and what differs between its versions (FFmpeg 5 to 7).
#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/channel_layout.h>
#include <libavutil/display.h>
#include <libavutil/opt.h>
}

#include <cstring>
#include <memory>
#include <string>

#include "base/result.h"

namespace plumbmark::scene::av {

struct FrameFree {
    void operator()(AVFrame* f) const { av_frame_free(&f); }
};
struct PacketFree {
    void operator()(AVPacket* p) const { av_packet_free(&p); }
};
struct CodecFree {
    void operator()(AVCodecContext* c) const { avcodec_free_context(&c); }
};
struct InputFree {
    void operator()(AVFormatContext* c) const { avformat_close_input(&c); }
};
struct OutputFree {
    void operator()(AVFormatContext* c) const {
        if (c->pb != nullptr) avio_closep(&c->pb);
        avformat_free_context(c);
    }
};
using Frame = std::unique_ptr<AVFrame, FrameFree>;
using Packet = std::unique_ptr<AVPacket, PacketFree>;
using Codec = std::unique_ptr<AVCodecContext, CodecFree>;
using Input = std::unique_ptr<AVFormatContext, InputFree>;
using Output = std::unique_ptr<AVFormatContext, OutputFree>;

inline base::Error failure(const std::string& what, int code) {
    char text[AV_ERROR_MAX_STRING_SIZE] = {};
    av_strerror(code, text, sizeof text);
    return {base::Category::io, what + ": " + text, ""};
}

/// Says that a stream is shown turned by a quarter clockwise (ISO/IEC 14496-12, 8.3.2: a = d = 0, b = 1, c =
/// -1, x = h).
inline bool set_turned(AVStream* stream, int stored_height) {
    constexpr std::size_t kSize = 9 * sizeof(std::int32_t);
    const std::int32_t matrix[9] = {0, 1 << 16, 0, -(1 << 16), 0, 0, stored_height << 16, 0, 1 << 30};
#if LIBAVCODEC_VERSION_MAJOR >= 61
    AVPacketSideData* data =
        av_packet_side_data_new(&stream->codecpar->coded_side_data, &stream->codecpar->nb_coded_side_data,
                                AV_PKT_DATA_DISPLAYMATRIX, kSize, 0);
    std::uint8_t* bytes = data == nullptr ? nullptr : data->data;
#else
    std::uint8_t* bytes = av_stream_new_side_data(stream, AV_PKT_DATA_DISPLAYMATRIX, kSize);
#endif
    if (bytes == nullptr) return false;
    std::memcpy(bytes, matrix, kSize);
    return true;
}

inline bool is_turned(const AVStream* stream) {
#if LIBAVCODEC_VERSION_MAJOR >= 61
    const AVPacketSideData* data = av_packet_side_data_get(
        stream->codecpar->coded_side_data, stream->codecpar->nb_coded_side_data, AV_PKT_DATA_DISPLAYMATRIX);
    const std::uint8_t* bytes = data == nullptr ? nullptr : data->data;
#else
    const std::uint8_t* bytes = av_stream_get_side_data(stream, AV_PKT_DATA_DISPLAYMATRIX, nullptr);
#endif
    if (bytes == nullptr) return false;
    std::int32_t matrix[9];
    std::memcpy(matrix, bytes, sizeof matrix);
    return matrix[0] == 0 && matrix[1] == 1 << 16 && matrix[3] == -(1 << 16) && matrix[4] == 0;
}

inline void set_mono(AVCodecContext* codec) {
#if LIBAVCODEC_VERSION_MAJOR >= 60
    av_channel_layout_default(&codec->ch_layout, 1);
#else
    codec->ch_layout = AV_CHANNEL_LAYOUT_MONO;
#endif
}

}  // namespace plumbmark::scene::av
