#include "media/internal/sound_file.h"

#include <algorithm>
#include <system_error>

#include "media/internal/demuxer.h"
#include "media/internal/stream_info.h"

namespace plumbmark::media {
namespace {

using base::Category;

}  // namespace

base::Result<SoundFile> SoundFile::open(const std::filesystem::path& path, const SoundOptions& options) {
    quiet_libav();
    std::error_code problem;
    if (!std::filesystem::is_regular_file(path, problem)) {
        return clip_error(Category::not_found,
                          "There is no such file. Check the name, and that its drive is there.", path);
    }
    SoundFile made;
    made.stop_ = std::make_unique<std::stop_token>(options.stop);
    AVFormatContext* raw = avformat_alloc_context();
    if (!raw) return clip_error(Category::io, "Not enough memory to open the sound.", path);
    raw->interrupt_callback = {
        [](void* stop) { return static_cast<std::stop_token*>(stop)->stop_requested() ? 1 : 0; },
        made.stop_.get()};
    AVDictionary* settings = nullptr;
    av_dict_set(&settings, "protocol_whitelist", "file", 0);
    int done = avformat_open_input(&raw, ("file:" + path.string()).c_str(), nullptr, &settings);
    av_dict_free(&settings);
    if (done >= 0) {
        made.format_.reset(raw);  // after a failure libav has freed it
        if (is_refused_format(*raw->iformat))
            return clip_error(Category::bad_input, "This is no clip. Name a video file.", path);
        done = avformat_find_stream_info(raw, nullptr);
    }
    if (options.stop.stop_requested())
        return clip_error(Category::cancelled, "Opening the sound was stopped.", path);
    if (done < 0) {
        return clip_error(Category::damaged,
                          "The sound cannot be opened (" + error_words(done) +
                              "). If the pictures cannot either, copy the file again from the camera.",
                          path);
    }
    if (auto chosen = made.choose(options.stream, path); !chosen) return chosen.error();
    return made;
}

base::Result<void> SoundFile::choose(std::optional<int> wanted, const std::filesystem::path& path) {
    streams_ = sound_streams(*format_, -1);
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
    for (unsigned i = 0; i < format_->nb_streams; ++i)
        format_->streams[i]->discard =
            static_cast<int>(i) == found->index ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
    return {};
}

SoundFile::Read SoundFile::read(AVPacket& packet) {
    for (;;) {
        if (stop_->stop_requested()) return Read::cancelled;
        last_error_ = av_read_frame(format_.get(), &packet);
        if (last_error_ == AVERROR(EAGAIN)) continue;
        if (last_error_ == AVERROR_EXIT) return Read::cancelled;
        const bool broke_off = format_->pb && format_->pb->error < 0 && format_->pb->error != AVERROR_EOF;
        if (last_error_ == AVERROR_EOF) return broke_off ? Read::failed : Read::end;
        if (last_error_ < 0) return Read::failed;
        if (packet.stream_index == chosen().index) return Read::packet;
        av_packet_unref(&packet);
    }
}

bool SoundFile::seek(std::int64_t ticks) {
    return avformat_seek_file(format_.get(), chosen().index, INT64_MIN, ticks, ticks, 0) >= 0;
}

}  // namespace plumbmark::media
