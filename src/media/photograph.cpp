#include "media/photograph.h"

#include <utility>

#include "media/internal/decoder.h"
#include "media/internal/demuxer.h"
#include "media/internal/stream_info.h"

namespace plumbmark::media {
namespace {

using base::Category;
using base::Result;

/// Of an animation or a clip the first picture may come only after several packets.
constexpr int kPacketsTried = 32;

/// How the picture was held. In a photograph its own data say it (Exif), which libav puts on the frame.
void read_held(const AVFrame& frame, int& quarter_turns, bool& mirrored) {
    constexpr std::size_t kNeeded = 9 * sizeof(std::int32_t);
    const AVFrameSideData* matrix = av_frame_get_side_data(&frame, AV_FRAME_DATA_DISPLAYMATRIX);
    if (matrix == nullptr || matrix->size < kNeeded) return;
    read_orientation(reinterpret_cast<const std::int32_t*>(matrix->data), quarter_turns, mirrored);
}

/// The first picture that the decoder gives; false where it gives none.
bool decode_first(Demuxer& demuxer, Decoder& decoder, AVFrame& frame) {
    const PacketPtr packet = new_packet();
    for (int i = 0; i < kPacketsTried; ++i) {
        const auto got = demuxer.read(*packet);
        if (got == Demuxer::Read::cancelled) return false;
        if (got != Demuxer::Read::packet) break;
        (void)decoder.send(*packet, i);
        av_packet_unref(packet.get());
        if (decoder.receive(frame) == Decoder::Out::frame) return true;
    }
    decoder.finish();
    return decoder.receive(frame) == Decoder::Out::frame;
}

base::Error no_picture(const std::filesystem::path& path) {
    return clip_error(
        Category::bad_input,
        base::worded("This is no picture that can be read here, or it is damaged. JPEG and PNG can be read."),
        path);
}

}  // namespace

Result<RgbaImage> read_photograph(const std::filesystem::path& path, std::stop_token stop) {
    auto demuxer = Demuxer::open(path, {}, stop);
    if (!demuxer) {
        // What the container says of it speaks of clips.
        const Category why = demuxer.error().category;
        const bool no_clip = why == Category::bad_input || why == Category::unsupported;
        return no_clip ? no_picture(path) : demuxer.error();
    }
    auto decoder = Decoder::open(demuxer->stream(), 1);
    if (!decoder) return no_picture(path);
    auto native = std::make_unique<NativeFrame>();
    native->frame = new_frame();
    const bool decoded = decode_first(*demuxer, *decoder, *native->frame);
    if (stop.stop_requested())
        return clip_error(Category::cancelled, base::worded("Reading the picture was stopped."), path);
    if (!decoded) return no_picture(path);
    const ClipInfo info = describe(*demuxer);
    int quarter_turns = info.quarter_turns;
    bool mirrored = info.mirrored;
    read_held(*native->frame, quarter_turns, mirrored);
    RgbaImage image = to_rgba(Picture(std::move(native), quarter_turns, mirrored, info.pixel_aspect));
    if (image.pixels.empty()) return no_picture(path);
    return image;
}

}  // namespace plumbmark::media
