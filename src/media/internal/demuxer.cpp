#include "media/internal/demuxer.h"

#include "media/internal/stream_info.h"

namespace plumbmark::media {
namespace {

using base::Category;

bool is_video(const AVStream& stream) {
    return stream.codecpar->codec_type == AVMEDIA_TYPE_VIDEO &&
           !(stream.disposition & AV_DISPOSITION_ATTACHED_PIC);
}

}  // namespace

std::uint32_t packet_digest(const AVPacket& packet) {
    constexpr int end_bytes = 128;
    std::uint32_t hash = 2166136261U;
    const auto add = [&](int from, int to) {
        for (int i = from; i < to; ++i)
            hash = (hash ^ packet.data[i]) * 16777619U;
    };
    if (packet.size <= 2 * end_bytes) {
        add(0, packet.size);
    } else {
        add(0, end_bytes);
        add(packet.size - end_bytes, packet.size);
    }
    return hash;
}

base::Result<Demuxer> Demuxer::open(const std::filesystem::path& path, std::optional<int> stream,
                                    std::stop_token stop, const BytesOpener& open_bytes) {
    auto container = Container::open(path, std::move(stop), open_bytes);
    if (!container) return container.error();
    Demuxer made(std::move(*container));
    if (auto chosen = made.choose_video(stream, path); !chosen) return chosen.error();
    return made;
}

base::Result<void> Demuxer::choose_video(std::optional<int> wanted, const std::filesystem::path& path) {
    const auto all = video_streams();
    if (all.empty()) {
        return clip_error(Category::bad_input,
                          base::worded("The file holds no video. Name a clip with pictures."), path);
    }
    ordinal_ = wanted.value_or(0);
    if (ordinal_ < 0 || ordinal_ >= static_cast<int>(all.size())) {
        return clip_error(Category::bad_input,
                          base::worded("There is no video stream {}; the file has streams 0 to {}.", ordinal_,
                                       all.size() - 1),
                          path);
    }
    const StreamInfo& chosen = all[static_cast<std::size_t>(ordinal_)];
    if (std::int64_t{chosen.width} * chosen.height > most_pixels) {
        return clip_error(
            Category::unsupported,
            base::worded("The clip declares pictures of {} x {} pixels, more than can be shown. If "
                         "that is not so, copy it again from the camera.",
                         chosen.width, chosen.height),
            path);
    }
    choose(chosen.index);
    return {};
}

std::vector<StreamInfo> Demuxer::video_streams() const {
    std::vector<StreamInfo> found;
    for (unsigned i = 0; i < format().nb_streams; ++i) {
        const AVStream& one = *format().streams[i];
        if (!is_video(one)) continue;
        found.push_back({static_cast<int>(found.size()), static_cast<int>(i),
                         avcodec_get_name(one.codecpar->codec_id), one.codecpar->width, one.codecpar->height,
                         label_of(format(), one)});
    }
    return found;
}

}  // namespace plumbmark::media
