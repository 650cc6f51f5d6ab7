#include "media/internal/sound_file.h"

#include <algorithm>
#include <utility>

namespace plumbmark::media {
namespace {

using base::Category;

std::vector<SoundStream> sound_streams(const AVFormatContext& format) {
    auto* looked_at = const_cast<AVFormatContext*>(&format);  // libav's choice changes nothing
    const int preset = av_find_best_stream(looked_at, AVMEDIA_TYPE_AUDIO, -1, -1, nullptr, 0);
    std::vector<SoundStream> found;
    for (unsigned i = 0; i < format.nb_streams; ++i) {
        const AVStream& one = *format.streams[i];
        const AVCodecParameters& parameters = *one.codecpar;
        if (parameters.codec_type != AVMEDIA_TYPE_AUDIO) continue;
        found.push_back({static_cast<int>(found.size()), static_cast<int>(i),
                         avcodec_get_name(parameters.codec_id), parameters.sample_rate,
                         parameters.ch_layout.nb_channels, static_cast<int>(i) == preset,
                         from_av(one.time_base)});
    }
    return found;
}

}  // namespace

base::Result<SoundFile> SoundFile::open(const std::filesystem::path& path, const SoundOptions& options) {
    auto container = Container::open(path, options.stop, options.open_bytes);
    if (!container) return container.error();
    SoundFile made(std::move(*container));
    if (auto chosen = made.choose_sound(options.stream, path); !chosen) return chosen.error();
    return made;
}

base::Result<void> SoundFile::choose_sound(std::optional<int> wanted, const std::filesystem::path& path) {
    streams_ = sound_streams(format());
    const auto found = std::find_if(streams_.begin(), streams_.end(), [&](const SoundStream& stream) {
        return wanted ? stream.ordinal == *wanted : stream.preset;
    });
    if (streams_.empty() || (!wanted && found == streams_.end()))
        return clip_error(Category::bad_input, "The clip has no sound.", path);
    if (found == streams_.end()) {
        return clip_error(Category::bad_input,
                          "There is no sound stream " + std::to_string(*wanted) +
                              "; the file has streams 0 to " + std::to_string(streams_.size() - 1) + ".",
                          path);
    }
    chosen_ = static_cast<std::size_t>(found - streams_.begin());
    if (found->time_base.num <= 0 || found->time_base.den <= 0)
        return clip_error(Category::damaged, "The sound's times have no unit, so it cannot be placed.", path);
    choose(found->index);
    return {};
}

}  // namespace plumbmark::media
