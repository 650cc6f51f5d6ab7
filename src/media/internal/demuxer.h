// One open container and its chosen video stream.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>

#include "base/result.h"
#include "media/internal/libav.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

/// A cheap checksum over at most the first and last 128 bytes of a packet (FNV-1a), to know it again after a
/// jump.
std::uint32_t packet_digest(const AVPacket& packet);

/// An Error about a clip: the file's name stands in 'where'.
base::Error clip_error(base::Category category, std::string sentence, const std::filesystem::path& path);

/// Reads packets of one video stream. One owner thread.
class Demuxer {
  public:
    enum class Read { packet, end, cancelled, failed };

    /// Opens local files only, never a playlist or a network address. Errors as scan_clip's.
    static base::Result<Demuxer> open(const std::filesystem::path& path, std::optional<int> stream,
                                      std::stop_token stop);

    [[nodiscard]] const AVFormatContext& format() const { return *format_; }
    [[nodiscard]] const AVStream& stream() const { return *format_->streams[index_]; }
    /// Ordinal of the chosen stream among the video streams, and all of them.
    [[nodiscard]] int ordinal() const { return ordinal_; }
    [[nodiscard]] std::vector<StreamInfo> video_streams() const;

    /// The next packet of the stream. 'failed': see last_error(); a broken file may go on after it, or not.
    Read read(AVPacket& packet);
    [[nodiscard]] int last_error() const { return last_error_; }
    /// Share of the file read so far, 0 to 1.
    [[nodiscard]] double share() const;

    /// Moves to the packet or before it, as far as the container knows how: by time, or by byte position.
    bool seek_time(std::int64_t ticks);
    bool seek_byte(std::int64_t position);
    [[nodiscard]] bool can_seek_byte() const;

    void set_stop(std::stop_token stop) { *stop_ = std::move(stop); }

  private:
    Demuxer() = default;
    base::Result<void> choose(std::optional<int> wanted, const std::filesystem::path& path);

    std::unique_ptr<std::stop_token> stop_;  // its own address: libav's interrupt callback keeps it
    FormatPtr format_;
    int index_ = -1, ordinal_ = 0, last_error_ = 0;
    std::int64_t file_size_ = 0, last_position_ = 0;
};

}  // namespace plumbmark::media
