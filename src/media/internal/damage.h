// Where a clip is damaged, told in frames and times.
#pragma once

#include <string>

#include "media/internal/demuxer.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

/// What is wrong with a packet, in words about its picture.
[[nodiscard]] std::string words_of(Wrong wrong);

/// How many bytes the container's own header says that the file has, where that is more than it has: the
/// length of Matroska's segment (RFC 8794, 4 to 6 and RFC 9559, 5.1) or of AVI's first RIFF chunk. 0 where
/// the header says nothing, or nothing more.
[[nodiscard]] std::int64_t declared_beyond_end(const Demuxer& demuxer);

/// How many packets of the stream the index of an MP4 or MOV file places, in whole or in part, behind the
/// end of the file.
[[nodiscard]] std::int64_t packets_behind_end(const Demuxer& demuxer);

/// Fills data.bad_stretches from the packets' faults, once the frames stand. 'missing_end': what is missing
/// after the last packet, in words; empty for nothing.
void find_bad_stretches(TableData& data, const std::string& missing_end);

}  // namespace plumbmark::media
