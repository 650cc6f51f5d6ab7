#include "media/internal/packet_finder.h"

#include <algorithm>

#include "media/internal/demuxer.h"

namespace plumbmark::media {
namespace {

std::uint64_t content_key(std::int32_t size, std::uint32_t digest) {
    return static_cast<std::uint64_t>(static_cast<std::uint32_t>(size)) << 32 | digest;
}

bool same_place(const PacketEntry& entry, const AVPacket& packet) {
    if (entry.pos >= 0 && packet.pos >= 0) {
        if (entry.pos != packet.pos) return false;
        // An edit list may show one stored picture twice: same place, another time.
        return entry.pts == no_time || packet.pts == no_time || entry.pts == packet.pts ||
               entry.dts != packet.dts;
    }
    if (entry.pts != no_time && packet.pts != no_time) return entry.pts == packet.pts;
    return entry.dts != no_time && packet.dts != no_time && entry.dts == packet.dts;
}

}  // namespace

bool PacketFinder::is(const AVPacket& packet, std::int64_t n) const {
    const PacketEntry& entry = data_->packets[static_cast<std::size_t>(n)];
    return entry.size == packet.size && entry.digest == packet_digest(packet);
}

std::int64_t PacketFinder::find(const AVPacket& packet) {
    if (by_content_.empty()) {
        by_content_.reserve(data_->packets.size());
        for (std::size_t i = 0; i < data_->packets.size(); ++i) {
            const PacketEntry& entry = data_->packets[i];
            by_content_.emplace_back(content_key(entry.size, entry.digest), static_cast<std::int64_t>(i));
        }
        std::sort(by_content_.begin(), by_content_.end());
    }
    const std::uint64_t key = content_key(packet.size, packet_digest(packet));
    std::int64_t match = -1;
    for (auto at = std::lower_bound(by_content_.begin(), by_content_.end(), std::pair{key, std::int64_t{0}});
         at != by_content_.end() && at->first == key; ++at) {
        if (!same_place(data_->packets[static_cast<std::size_t>(at->second)], packet)) continue;
        if (match >= 0) return -1;
        match = at->second;
    }
    return match;
}

}  // namespace plumbmark::media
