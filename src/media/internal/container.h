// One open container over a clip's bytes, read packet by packet for one of its streams. The picture side and
// the sound side both stand on it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/worded.h"
#include "media/clip_bytes.h"
#include "media/internal/byte_stream.h"
#include "media/internal/libav.h"

namespace plumbmark::media {

/// An Error about a clip: the file's name stands in 'where'.
base::Error clip_error(base::Category category, base::Sentence sentence, const std::filesystem::path& path);

/// The bytes of a clip by the opener, or of the file of that name where there is none.
[[nodiscard]] base::Result<std::unique_ptr<ClipBytes>> bytes_of_clip(const std::filesystem::path& path,
                                                                     const BytesOpener& open_bytes,
                                                                     const std::stop_token& stop);

/// Why a clip that was read before cannot be read now: its file is gone, has changed or cannot be read.
/// Nothing when the bytes look as they did at 'then'. 'trouble': what the bytes said when they failed.
[[nodiscard]] std::optional<base::Error> what_happened(const ByteMark& then,
                                                       const std::filesystem::path& path,
                                                       const BytesOpener& open_bytes,
                                                       const std::optional<base::Error>& trouble,
                                                       const std::stop_token& stop);

/// The most pixels a picture may have: what the highest levels of the codecs that phones write allow (8192 x
/// 4352: 139,264 macroblocks in Rec. ITU-T H.264 table A-1, level 6.2; MaxLumaPs 35,651,584 in H.265 table
/// A.8, level 6.2; both from memory). Beyond it a header lies, and such a lie can cost gigabytes and seconds.
constexpr std::int64_t most_pixels = std::int64_t{8192} * 4352;

/// Formats that are no clips: libav would draw a text file as pictures, or follow a playlist to other files.
[[nodiscard]] bool is_refused_format(const AVInputFormat& format);

/// One owner thread. Work and number of packets are bounded by the file's size, whatever its headers say.
class Container {
  public:
    enum class Read { packet, end, cancelled, failed };

    /// Opens the clip's bytes only, never a playlist, another file or a network address. 'open_bytes' empty:
    /// the file of that name. Errors: not_found, bad_input (a directory, no clip), damaged (empty),
    /// unsupported, io, cancelled.
    static base::Result<Container> open(const std::filesystem::path& path, std::stop_token stop,
                                        const BytesOpener& open_bytes);

    [[nodiscard]] const AVFormatContext& format() const { return *input_->format; }
    /// The chosen stream, by its number among all of the file's; chosen before anything is read.
    [[nodiscard]] const AVStream& stream() const { return *input_->format->streams[index_]; }
    void choose(int index);
    [[nodiscard]] const ClipBytes& bytes() const { return input_->bytes->bytes(); }
    [[nodiscard]] const std::stop_token& stop() const { return input_->bytes->stop(); }
    void set_stop(std::stop_token stop) { input_->bytes->set_stop(std::move(stop)); }

    /// The next packet of the stream. 'failed': see failure(); a broken file may go on after it, or not.
    Read read(AVPacket& packet);
    /// Why the last read failed, in words that fit into brackets.
    [[nodiscard]] base::Sentence failure() const;
    /// What the bytes themselves said when they could not be read; nothing when they could.
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return input_->bytes->trouble(); }
    /// Share of the file read so far, 0 to 1.
    [[nodiscard]] double share() const;
    /// The file's first bytes, at most 256; empty when they cannot be read. Does not move the position.
    [[nodiscard]] std::vector<std::uint8_t> head() const;

    /// Moves to the packet or before it, as far as the container knows how: by time, or by byte position.
    bool seek_time(std::int64_t ticks);
    bool seek_byte(std::int64_t position);
    [[nodiscard]] bool can_seek_byte() const;

  private:
    // Both at one address, which libav keeps; the format is closed before its bytes go.
    struct Input {
        std::unique_ptr<ByteStream> bytes;
        FormatPtr format;
    };

    Container() = default;
    static int interrupted(void* input);
    base::Result<void> start(const std::filesystem::path& path);
    base::Result<void> find_streams(const std::filesystem::path& path);
    [[nodiscard]] base::Error open_error(int code, const std::filesystem::path& path) const;
    [[nodiscard]] bool lists_too_much() const;
    Read read_once(AVPacket& packet);
    void before_seek();

    std::unique_ptr<Input> input_;
    int index_ = -1, last_error_ = 0;
    std::int64_t last_position_ = 0;
    std::int64_t packets_since_seek_ = 0, bytes_since_seek_ = 0;  // of all streams
};

}  // namespace plumbmark::media
