// One open container and its chosen sound stream, packet by packet.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "media/internal/libav.h"
#include "media/sound.h"

namespace plumbmark::media {

/// One owner thread.
class SoundFile {
  public:
    enum class Read { packet, end, cancelled, failed };

    /// Errors as SoundReader::open's. Local files only, never a playlist or a network address.
    static base::Result<SoundFile> open(const std::filesystem::path& path, const SoundOptions& options);

    [[nodiscard]] const AVStream& stream() const { return *format_->streams[chosen().index]; }
    [[nodiscard]] const std::vector<SoundStream>& streams() const { return streams_; }
    [[nodiscard]] const SoundStream& chosen() const { return streams_[chosen_]; }

    /// The next packet of the chosen stream.
    Read read(AVPacket& packet);
    [[nodiscard]] int last_error() const { return last_error_; }
    /// To a packet at or before these ticks, as far as the container knows how.
    bool seek(std::int64_t ticks);

  private:
    SoundFile() = default;
    base::Result<void> choose(std::optional<int> wanted, const std::filesystem::path& path);

    std::unique_ptr<std::stop_token> stop_;  // its own address: libav's interrupt callback keeps it
    FormatPtr format_;
    std::vector<SoundStream> streams_;
    std::size_t chosen_ = 0;
    int last_error_ = 0;
};

}  // namespace plumbmark::media
