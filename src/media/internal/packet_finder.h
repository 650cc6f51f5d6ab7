// Knows a packet of the table again after the file position was moved.
#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "media/internal/libav.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

/// One owner thread. The table data must outlive it.
class PacketFinder {
  public:
    explicit PacketFinder(const TableData& data) : data_(&data) {}

    /// True when the packet read has the size and checksum of packet n of the table.
    [[nodiscard]] bool is(const AVPacket& packet, std::int64_t n) const;
    /// The number of the packet in the table when exactly one fits (size, checksum, and position or else
    /// time); -1 otherwise.
    [[nodiscard]] std::int64_t find(const AVPacket& packet);

  private:
    const TableData* data_;
    std::vector<std::pair<std::uint64_t, std::int64_t>> by_content_;  // sorted; made at the first search
};

}  // namespace plumbmark::media
