#include "media/internal/demuxer.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>

namespace plumbmark::media {
namespace {

using base::Category;

int interrupted(void* opaque) {
    return static_cast<std::stop_token*>(opaque)->stop_requested() ? 1 : 0;
}

// Formats that are no clips: libav would draw a text file as pictures, or follow a playlist to other files.
bool is_refused_format(const AVInputFormat& format) {
    static constexpr std::array refused = {"tty", "bin",    "xbin", "adf", "idf",
                                           "hls", "concat", "dash", "sdp", "imf"};
    const std::string name = format.name ? format.name : "";
    return std::any_of(refused.begin(), refused.end(), [&](const char* bad) { return name == bad; });
}

base::Result<void> check_file(const std::filesystem::path& path, std::int64_t& size) {
    std::error_code error;
    const auto status = std::filesystem::status(path, error);
    if (!std::filesystem::exists(status)) {
        return clip_error(Category::not_found,
                          "There is no such file. Check the name, and that its drive is there.", path);
    }
    if (std::filesystem::is_directory(status)) {
        return clip_error(Category::bad_input, "This is a folder, not a clip. Name one video file inside it.",
                          path);
    }
    const auto bytes = std::filesystem::file_size(path, error);
    if (!error && bytes == 0) {
        return clip_error(Category::damaged, "The file is empty. Copy it again from the camera.", path);
    }
    size = error ? 0 : static_cast<std::int64_t>(bytes);
    return {};
}

base::Error open_error(int code, const std::filesystem::path& path) {
    if (code == AVERROR_EXIT) return clip_error(Category::cancelled, "Opening the clip was stopped.", path);
    if (code == AVERROR(EACCES) || code == AVERROR(EPERM)) {
        return clip_error(Category::io, "The file may not be read. Ask for the right to read it.", path);
    }
    if (code == AVERROR(EIO) || code == AVERROR(ENOMEM)) {
        return clip_error(Category::io,
                          "Reading failed (" + error_words(code) + "). Try again, or copy the file.", path);
    }
    if (code == AVERROR_PROTOCOL_NOT_FOUND || code == AVERROR_DEMUXER_NOT_FOUND) {
        return clip_error(Category::unsupported, "This build cannot open such files.", path);
    }
    return clip_error(Category::bad_input,
                      "This is no clip that can be opened, or its index is missing (" + error_words(code) +
                          "). If it is a recording, copy it again from the camera.",
                      path);
}

bool is_video(const AVStream& stream) {
    return stream.codecpar->codec_type == AVMEDIA_TYPE_VIDEO &&
           !(stream.disposition & AV_DISPOSITION_ATTACHED_PIC);
}

}  // namespace

base::Error clip_error(base::Category category, std::string sentence, const std::filesystem::path& path) {
    return base::Error{category, std::move(sentence), path.filename().string()};
}

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
                                    std::stop_token stop) {
    quiet_libav();
    Demuxer made;
    if (auto checked = check_file(path, made.file_size_); !checked) return checked.error();
    made.stop_ = std::make_unique<std::stop_token>(std::move(stop));
    AVFormatContext* raw = avformat_alloc_context();
    if (!raw) return clip_error(Category::io, "Not enough memory to open the clip.", path);
    raw->interrupt_callback = {interrupted, made.stop_.get()};
    AVDictionary* settings = nullptr;
    av_dict_set(&settings, "protocol_whitelist", "file", 0);
    const int opened = avformat_open_input(&raw, ("file:" + path.string()).c_str(), nullptr, &settings);
    av_dict_free(&settings);
    if (opened < 0) return open_error(opened, path);  // libav has freed the context
    made.format_.reset(raw);
    if (is_refused_format(*raw->iformat)) {
        return clip_error(Category::bad_input, "This is no clip. Name a video file.", path);
    }
    const int found = avformat_find_stream_info(raw, nullptr);
    if (made.stop_->stop_requested()) return open_error(AVERROR_EXIT, path);
    if (found < 0) return open_error(found, path);
    if (auto chosen = made.choose(stream, path); !chosen) return chosen.error();
    return made;
}

base::Result<void> Demuxer::choose(std::optional<int> wanted, const std::filesystem::path& path) {
    const auto all = video_streams();
    if (all.empty()) {
        return clip_error(Category::bad_input, "The file holds no video. Name a clip with pictures.", path);
    }
    ordinal_ = wanted.value_or(0);
    if (ordinal_ < 0 || ordinal_ >= static_cast<int>(all.size())) {
        return clip_error(Category::bad_input,
                          "There is no video stream " + std::to_string(ordinal_) +
                              "; the file has streams 0 to " + std::to_string(all.size() - 1) + ".",
                          path);
    }
    index_ = all[static_cast<std::size_t>(ordinal_)].index;
    // Packets of other streams need not be read where the container can leave them out.
    for (unsigned i = 0; i < format_->nb_streams; ++i) {
        format_->streams[i]->discard = static_cast<int>(i) == index_ ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
    }
    return {};
}

std::vector<StreamInfo> Demuxer::video_streams() const {
    std::vector<StreamInfo> found;
    for (unsigned i = 0; i < format_->nb_streams; ++i) {
        const AVStream& one = *format_->streams[i];
        if (!is_video(one)) continue;
        found.push_back({static_cast<int>(found.size()), static_cast<int>(i),
                         avcodec_get_name(one.codecpar->codec_id), one.codecpar->width,
                         one.codecpar->height});
    }
    return found;
}

Demuxer::Read Demuxer::read(AVPacket& packet) {
    for (;;) {
        if (stop_->stop_requested()) return Read::cancelled;
        last_error_ = av_read_frame(format_.get(), &packet);
        if (last_error_ == AVERROR(EAGAIN)) continue;
        if (last_error_ == AVERROR_EXIT) return Read::cancelled;
        if (last_error_ == AVERROR_EOF)
            return format_->pb && format_->pb->error < 0 && format_->pb->error != AVERROR_EOF ? Read::failed
                                                                                              : Read::end;
        if (last_error_ < 0) return Read::failed;
        if (packet.pos > last_position_) last_position_ = packet.pos;
        if (packet.stream_index == index_) return Read::packet;
        av_packet_unref(&packet);
    }
}

double Demuxer::share() const {
    if (file_size_ <= 0) return 0;
    return std::clamp(static_cast<double>(last_position_) / static_cast<double>(file_size_), 0.0, 1.0);
}

bool Demuxer::seek_time(std::int64_t ticks) {
    return avformat_seek_file(format_.get(), index_, INT64_MIN, ticks, ticks, 0) >= 0;
}

bool Demuxer::can_seek_byte() const {
    return !(format_->iformat->flags & AVFMT_NO_BYTE_SEEK);
}

bool Demuxer::seek_byte(std::int64_t position) {
    return av_seek_frame(format_.get(), index_, position, AVSEEK_FLAG_BYTE) >= 0;
}

}  // namespace plumbmark::media
