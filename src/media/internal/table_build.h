// The steps that make a frame table out of packets.
#pragma once

#include <string>
#include <vector>

#include "media/internal/libav.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

/// One picture as it came out of the decoder.
struct ShownFrame {
    std::int64_t packet = -1;
    int occurrence = 0;
    std::int64_t dts = no_time;  ///< as libav names it for this frame
    bool damaged = false;
};

/// Why the packets alone cannot tell what is shown (the rule at scan_clip), or empty. 'declared_delay' is how
/// many pictures the stream says may be held back for reordering.
std::string reason_to_decode(const TableData& data, int declared_delay);

/// Frames straight from the packets' times. Only when reason_to_decode is empty.
void frames_from_packets(TableData& data);

/// Frames as they were shown by the decoder, with times derived as libav does where packets have none.
void frames_from_decoding(TableData& data, const std::vector<ShownFrame>& shown);

}  // namespace plumbmark::media
