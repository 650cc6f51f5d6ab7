// One open container and its chosen video stream.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <vector>

#include "base/result.h"
#include "media/internal/container.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

/// A cheap checksum over at most the first and last 128 bytes of a packet (FNV-1a), to know it again after a
/// jump.
std::uint32_t packet_digest(const AVPacket& packet);

/// Reads packets of one video stream. One owner thread.
class Demuxer : public Container {
  public:
    /// As Container::open; errors as scan_clip's.
    static base::Result<Demuxer> open(const std::filesystem::path& path, std::optional<int> stream,
                                      std::stop_token stop, const BytesOpener& open_bytes = {});

    /// Ordinal of the chosen stream among the video streams, and all of them.
    [[nodiscard]] int ordinal() const { return ordinal_; }
    [[nodiscard]] std::vector<StreamInfo> video_streams() const;

  private:
    explicit Demuxer(Container container) : Container(std::move(container)) {}
    base::Result<void> choose_video(std::optional<int> stream, const std::filesystem::path& path);

    int ordinal_ = 0;
};

}  // namespace plumbmark::media
