// What stands behind a frame table: every packet of the stream in file order, and how each is recognised
// again.
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "media/frame_table.h"
#include "media/internal/huge_pages.h"

namespace plumbmark::media {

constexpr std::int64_t no_time = INT64_MIN;  // AV_NOPTS_VALUE has the same value

/// What is wrong with a packet.
enum class Wrong : std::uint8_t {
    nothing,
    cut_off,      ///< the file ends in its middle
    marked,       ///< the container calls it corrupt
    ill_formed,   ///< it has not the make-up of its codec
    refused,      ///< by the decoder
    made_up,      ///< its picture is partly the decoder's invention
    never_shown,  ///< no picture comes out of it
};

/// One packet of the chosen stream.
struct PacketEntry {
    std::int64_t pts = no_time, dts = no_time;  ///< ticks as the container gives them
    std::int64_t pos = -1;      ///< byte position in the file, -1 where the container hides it
    std::int64_t duration = 0;  ///< ticks, 0 where unsaid
    std::int32_t size = 0;
    std::uint32_t digest = 0;  ///< checksum of its first and last bytes (packet_digest)
    std::int64_t frame = -1;   ///< number of the (first) frame that comes out of it; -1 for none
    bool key = false;          ///< as the container or libav's parser says
    bool start = false;        ///< decoding may begin here and is exact for all that is shown from here on
    bool cut = false;          ///< cut away by an edit list: decoded, not shown
    bool disposable =
        false;  ///< no other picture is made from its picture (set for TableBasis::packets only)
    Wrong wrong = Wrong::nothing;

    [[nodiscard]] bool damaged() const { return wrong != Wrong::nothing; }
    /// The first thing found is what is told.
    void blame(Wrong what) {
        if (wrong == Wrong::nothing) wrong = what;
    }
};

struct TableData {
    ClipInfo info;
    LongList<FrameEntry> frames;
    LongList<PacketEntry> packets;
    /// Further frames out of one packet: (packet, occurrence) to frame number. Nearly always empty.
    std::map<std::pair<std::int64_t, int>, std::int64_t> further;
    std::vector<BadStretch> bad_stretches;
    ByteMark mark;                          ///< of the file when it was scanned
    std::int64_t first_damage = INT64_MAX;  ///< the first damaged packet
    bool times_rise = true;                 ///< no frame's time lies before an earlier frame's
    bool identity_by_count =
        false;  ///< the decoder loses track of packets: only counting from the start is exact
    bool single_thread = false;  ///< damaged: decoder threads would change how missing parts are made up

    /// The frame that comes out of a packet as its occurrence-th picture, or -1.
    [[nodiscard]] std::int64_t frame_of(std::int64_t packet, int occurrence) const {
        if (packet < 0 || packet >= static_cast<std::int64_t>(packets.size())) return -1;
        if (occurrence == 0) return packets[static_cast<std::size_t>(packet)].frame;
        const auto found = further.find({packet, occurrence});
        return found == further.end() ? -1 : found->second;
    }
    /// The nearest packet from which frame n can be decoded exactly; 0 (the first packet) where there is no
    /// nearer. What libav makes up for a damaged picture rests on more than its own group, and damaged
    /// parameter sets outlive a group: from the first damage on, every frame is decoded from the first
    /// packet.
    [[nodiscard]] std::int64_t start_packet(std::int64_t n) const;
};

}  // namespace plumbmark::media
