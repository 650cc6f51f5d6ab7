#include "media/internal/first_picture.h"

#include "media/internal/decoder.h"
#include "media/internal/demuxer.h"
#include "media/internal/stream_info.h"

namespace plumbmark::media {

base::Result<std::shared_ptr<const Picture>> first_picture(const std::filesystem::path& path,
                                                           std::optional<int> stream, std::stop_token stop) {
    constexpr int packets_tried = 200;
    auto demuxer = Demuxer::open(path, stream, std::move(stop));
    if (!demuxer) return demuxer.error();
    auto decoder = Decoder::open(demuxer->stream(), 1);  // several threads would first want more packets
    if (!decoder) return clip_error(decoder.error().category, decoder.error().sentence, path);
    const ClipInfo info = describe(*demuxer);
    const PacketPtr packet = new_packet();
    FramePtr frame = new_frame();
    bool more = true;
    for (int i = 0; i < packets_tried && more; ++i) {
        const auto got = demuxer->read(*packet);
        if (got == Demuxer::Read::cancelled)
            return clip_error(base::Category::cancelled, "The clip is no longer wanted.", path);
        more = got == Demuxer::Read::packet;
        if (more)
            decoder->send(*packet, i);
        else
            decoder->finish();
        av_packet_unref(packet.get());
        if (decoder->receive(*frame) != Decoder::Out::frame) continue;
        auto native = std::make_unique<NativeFrame>();
        native->frame = std::move(frame);
        return std::make_shared<const Picture>(std::move(native), info.quarter_turns, info.mirrored,
                                               info.pixel_aspect);
    }
    return clip_error(base::Category::damaged, "The beginning of the clip does not decode.", path);
}

}  // namespace plumbmark::media
