#include "media/internal/container.h"

#include <algorithm>
#include <array>
#include <cerrno>

namespace plumbmark::media {
namespace {

using base::Category;

// No clip needs another file; one that names some is refused them.
int open_nothing(AVFormatContext*, AVIOContext**, const char*, int, AVDictionary**) {
    return AVERROR(EACCES);
}

// The decoders that libav runs to find out about its streams, held to pictures of a possible size.
class ProbeSettings {
  public:
    explicit ProbeSettings(unsigned streams) : each_(streams, nullptr) {
        for (AVDictionary*& one : each_)
            av_dict_set_int(&one, "max_pixels", most_pixels, 0);
    }
    ~ProbeSettings() {
        for (AVDictionary*& one : each_)
            av_dict_free(&one);
    }
    ProbeSettings(const ProbeSettings&) = delete;
    ProbeSettings& operator=(const ProbeSettings&) = delete;
    AVDictionary** get() { return each_.empty() ? nullptr : each_.data(); }

  private:
    std::vector<AVDictionary*> each_;
};

// A file's bytes may be met more than once on the way (indexes, jumps back), but not without end.
std::int64_t reading_allowance(std::int64_t size) {
    constexpr std::int64_t slack = std::int64_t{64} << 20;
    return size > (INT64_MAX - slack) / 4 ? INT64_MAX : 4 * size + slack;
}

}  // namespace

bool is_refused_format(const AVInputFormat& format) {
    static constexpr std::array refused = {"tty", "bin",    "xbin", "adf", "idf",
                                           "hls", "concat", "dash", "sdp", "imf"};
    const std::string name = format.name ? format.name : "";
    return std::any_of(refused.begin(), refused.end(), [&](const char* bad) { return name == bad; });
}

base::Error clip_error(base::Category category, base::Sentence sentence, const std::filesystem::path& path) {
    return base::Error{category, std::move(sentence), path.filename().string()};
}

base::Result<std::unique_ptr<ClipBytes>> bytes_of_clip(const std::filesystem::path& path,
                                                       const BytesOpener& open_bytes,
                                                       const std::stop_token& stop) {
    return open_bytes ? open_bytes(path, stop) : open_file_bytes(path, stop);
}

std::optional<base::Error> what_happened(const ByteMark& then, const std::filesystem::path& path,
                                         const BytesOpener& open_bytes,
                                         const std::optional<base::Error>& trouble,
                                         const std::stop_token& stop) {
    const auto bytes = bytes_of_clip(path, open_bytes, stop);
    const auto now = bytes ? (*bytes)->look(stop) : base::Result<ByteMark>(bytes.error());
    if (auto changed = what_changed(then, now, path)) return changed;
    return trouble;
}

int Container::interrupted(void* input) {
    return static_cast<Input*>(input)->bytes->stop().stop_requested() ? 1 : 0;
}

base::Error Container::open_error(int code, const std::filesystem::path& path) const {
    if (input_->bytes->stop().stop_requested())
        return clip_error(Category::cancelled, base::worded("Opening the clip was stopped."), path);
    if (trouble()) return *trouble();
    if (code == AVERROR(ENOMEM)) {
        return clip_error(
            Category::bad_input,
            base::worded("The clip asks for more memory than any clip needs. Copy it again from the camera."),
            path);
    }
    if (code == AVERROR_DEMUXER_NOT_FOUND) {
        return clip_error(Category::unsupported, base::worded("This build cannot open such files."), path);
    }
    return clip_error(
        Category::bad_input,
        base::worded("This is no clip that can be opened, or its index is missing ({}). If it is a "
                     "recording, copy it again from the camera.",
                     error_words(code)),
        path);
}

base::Result<Container> Container::open(const std::filesystem::path& path, std::stop_token stop,
                                        const BytesOpener& open_bytes) {
    quiet_libav();
    auto bytes = bytes_of_clip(path, open_bytes, stop);
    if (!bytes) return bytes.error();
    Container made;
    made.input_ = std::make_unique<Input>();
    made.input_->bytes = ByteStream::over(std::move(*bytes), std::move(stop));
    if (!made.input_->bytes)
        return clip_error(Category::io, base::worded("Not enough memory to open the clip."), path);
    if (auto started = made.start(path); !started) return started.error();
    if (auto found = made.find_streams(path); !found) return found.error();
    made.before_seek();
    return made;
}

base::Result<void> Container::start(const std::filesystem::path& path) {
    AVFormatContext* raw = avformat_alloc_context();
    if (!raw) return clip_error(Category::io, base::worded("Not enough memory to open the clip."), path);
    raw->interrupt_callback = {interrupted, input_.get()};
    raw->pb = input_->bytes->context();
    raw->io_open = open_nothing;
    input_->bytes->allow(reading_allowance(bytes().mark().size));
    const int opened = avformat_open_input(&raw, path.c_str(), nullptr, nullptr);
    if (opened < 0) return open_error(opened, path);  // libav has freed the context
    input_->format.reset(raw);
    if (is_refused_format(*raw->iformat)) {
        return clip_error(Category::bad_input, base::worded("This is no clip. Name a video file."), path);
    }
    return {};
}

base::Result<void> Container::find_streams(const std::filesystem::path& path) {
    ProbeSettings settings(input_->format->nb_streams);
    const int found = avformat_find_stream_info(input_->format.get(), settings.get());
    if (input_->bytes->stop().stop_requested()) return open_error(AVERROR_EXIT, path);
    if (found < 0) return open_error(found, path);
    return {};
}

// Packets of other streams need not be read where the container can leave them out.
void Container::choose(int index) {
    index_ = index;
    for (unsigned i = 0; i < input_->format->nb_streams; ++i) {
        input_->format->streams[i]->discard =
            static_cast<int>(i) == index_ ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
    }
}

// An index may point at the same bytes again and again: an edit list does so a few times, a lie without end.
bool Container::lists_too_much() const {
    constexpr std::int64_t most = std::int64_t{1} << 25, slack = std::int64_t{256} << 20;
    const std::int64_t size = bytes().mark().size;
    return packets_since_seek_ > std::min(most, size > most ? most : 4 * size + 1000) ||
           bytes_since_seek_ / 8 > size + slack / 8;
}

Container::Read Container::read_once(AVPacket& packet) {
    constexpr int patience = 1000;  // times in a row that libav may ask to be asked again
    for (int again = 0;; ++again) {
        input_->bytes->allow(reading_allowance(bytes().mark().size));
        last_error_ = av_read_frame(input_->format.get(), &packet);
        if (input_->bytes->stop().stop_requested() || last_error_ == AVERROR_EXIT) {
            if (last_error_ >= 0) av_packet_unref(&packet);
            return Read::cancelled;
        }
        if (last_error_ >= 0) return Read::packet;
        if (trouble() || input_->bytes->ended_early()) return Read::failed;
        if (last_error_ == AVERROR_EOF) return input_->bytes->exhausted() ? Read::failed : Read::end;
        if (last_error_ != AVERROR(EAGAIN) || again == patience) return Read::failed;
    }
}

Container::Read Container::read(AVPacket& packet) {
    for (;;) {
        if (input_->bytes->stop().stop_requested()) return Read::cancelled;
        if (lists_too_much()) return Read::failed;
        if (const Read got = read_once(packet); got != Read::packet) return got;
        ++packets_since_seek_;
        bytes_since_seek_ += packet.size;
        if (packet.pos > last_position_) last_position_ = packet.pos;
        if (packet.stream_index == index_) return Read::packet;
        av_packet_unref(&packet);
    }
}

base::Sentence Container::failure() const {
    if (trouble()) return trouble()->sentence;
    if (input_->bytes->ended_early()) return base::worded("it ends before the size it should have");
    if (lists_too_much()) return base::worded("its index lists more than the file holds");
    return error_words(last_error_);
}

double Container::share() const {
    return std::clamp(static_cast<double>(last_position_) / static_cast<double>(bytes().mark().size), 0.0,
                      1.0);
}

std::vector<std::uint8_t> Container::head() const {
    std::vector<std::uint8_t> bytes(256);
    const auto got = input_->bytes->bytes().read(0, bytes, input_->bytes->stop());
    bytes.resize(got ? *got : 0);
    return bytes;
}

void Container::before_seek() {
    input_->bytes->clear_trouble();
    input_->bytes->allow(reading_allowance(bytes().mark().size));
    packets_since_seek_ = bytes_since_seek_ = 0;
}

bool Container::seek_time(std::int64_t ticks) {
    before_seek();
    return avformat_seek_file(input_->format.get(), index_, INT64_MIN, ticks, ticks, 0) >= 0;
}

bool Container::can_seek_byte() const {
    return !(input_->format->iformat->flags & AVFMT_NO_BYTE_SEEK);
}

bool Container::seek_byte(std::int64_t position) {
    before_seek();
    return av_seek_frame(input_->format.get(), index_, position, AVSEEK_FLAG_BYTE) >= 0;
}

}  // namespace plumbmark::media
