// The frame table: every shown picture of a clip, in the order shown, with its exact time. It is built once;
// all marks, brackets and seeks speak its frame numbers.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "media/clip_bytes.h"
#include "media/clip_info.h"

namespace plumbmark::media {

struct TableData;  // the packets behind the frames; known inside this module only
class Picture;

/// Shown the first picture of a clip.
using FirstPictureShow = std::function<void(std::shared_ptr<const Picture>)>;

/// One shown picture. Its number is its place in the table.
struct FrameEntry {
    std::int64_t pts = 0;  ///< presentation time in ticks of FrameTable::time_base, as ffprobe prints it
    base::Time time;       ///< base::floor_to_time(pts, time base), computed once, here
    bool key = false;      ///< the container or the stream calls its packet a key frame
    bool damaged = false;  ///< came out of the decoder marked as damaged (known for TableBasis::decoded only)
    std::int64_t duration =
        0;  ///< ticks until the next frame's pts; for the last frame its packet's own duration
    std::int64_t packet =
        0;  ///< number of its packet in file order, from 0 (for frames of one clip: decode order)
    int occurrence = 0;  ///< 0, or n for the n-th further picture out of the same packet
};

/// A stretch of the clip where the file is damaged.
struct BadStretch {
    /// The damaged frames, both included. Where pictures are missing that have no number, last is first - 1:
    /// they are missing before 'first', which is size() where they are missing at the end.
    std::int64_t first = 0, last = -1;
    /// The last frame that may show remains of the damage, because it is built on damaged ones: up to the
    /// next place where decoding can begin anew. At least 'last'.
    std::int64_t lean_until = -1;
    /// On the clip's own clock, half open: while a damaged frame is on screen; where pictures are missing,
    /// while the frame before them stands in their place. Empty (from == until) at the end of the clip.
    base::Time from, until;
    std::string what;  ///< what is wrong, a clause in small letters: "the file ends in the middle of ..."
    friend bool operator==(const BadStretch&, const BadStretch&) = default;
};

/// Immutable, cheap to copy (shares its data), safe to read from any thread.
///
/// Frame numbers agree, count, order and pictures, with the output of
/// `ffmpeg -noautorotate -i CLIP -map 0:v:0 -fps_mode passthrough -f framemd5 -`, and pts with ffprobe's
/// frame pts. Frames that an edit list cuts away, and packets that never decode, have no number. Where
/// pictures are partly damaged the ffmpeg program's own output depends on its number of threads; ours is that
/// of -threads 1. Where the picture size changes within a stream, ours is that of -autoscale 0: the picture
/// as decoded.
class FrameTable {
  public:
    /// An empty table: no frames, time base 1/1. Real ones come from scan_clip.
    FrameTable();
    explicit FrameTable(std::shared_ptr<const TableData> data);

    [[nodiscard]] std::int64_t size() const;
    /// 0 <= n < size(), else the program stops; the same holds for exact_time and time.
    [[nodiscard]] const FrameEntry& operator[](std::int64_t n) const;
    /// Seconds per tick; num and den positive.
    [[nodiscard]] base::Rational time_base() const;
    [[nodiscard]] const ClipInfo& info() const;
    /// pts * time base in lowest terms, seconds on the clip's own clock.
    [[nodiscard]] base::Rational exact_time(std::int64_t n) const;
    [[nodiscard]] base::Time time(std::int64_t n) const;
    /// The frame on screen at t: the last frame with time <= t, or -1 when t lies before all of them.
    [[nodiscard]] std::int64_t frame_at(base::Time t) const;
    /// The nearest frame at or before n from which decoding can begin and show n exactly; 0 where there is
    /// none. It tells what a jump to n costs.
    [[nodiscard]] std::int64_t group_start(std::int64_t n) const;

    /// Where the file is damaged, in the order shown, as far as the scan could see: a table from packets
    /// knows of damage to their make-up, a decoded one also of damage inside the pictures (see scan_clip).
    [[nodiscard]] const std::vector<BadStretch>& bad_stretches() const;

    [[nodiscard]] const TableData& data() const { return *data_; }

  private:
    std::shared_ptr<const TableData> data_;
};

/// When to decode the whole clip for the table.
enum class Verify {
    automatic,  ///< where the packets cannot tell (the rule stands at scan_clip)
    always,     ///< every clip: slow, and exact even where a damaged stream passes the checks on its packets
};

struct ScanOptions {
    std::optional<int> stream =
        std::nullopt;  ///< ordinal among the video streams (StreamInfo::ordinal); default the first
    Verify verify = Verify::automatic;
    std::function<void(double)> progress =
        nullptr;                ///< share done, 0 to 1, never falling; called on the scanning thread
    std::stop_token stop = {};  ///< when requested the scan ends within one packet, with Category::cancelled
    BytesOpener open_bytes = {};  ///< where the clip's bytes come from; empty: the file of that name
    /// Called at most once, on the scanning thread, as soon as the first packets give a picture: most often
    /// frame 0, but only the table can tell. Not called where none of the first 200 packets decodes. Empty:
    /// nothing is decoded for it.
    FirstPictureShow first_picture = nullptr;
};

/// Reads the whole file once, packet by packet, and builds its frame table. Blocks; call it off the UI
/// thread. Several scans may run at once on different threads.
///
/// The rule: each packet that the container does not mark as cut away (edit list) is one frame, shown at the
/// packet's time, when the codec is one of H.264, HEVC, AV1, VP8, VP9, MPEG-1/2/4 video, MJPEG, ProRes or
/// DNxHD and all of this holds: every packet has a time of its own and no two the same; the first is a full
/// key frame with no picture shown before it; the stream is not interlaced (MJPEG, ProRes and DNxHD may be);
/// pictures are not reordered further than the stream declares; each packet has the well-formed make-up of
/// exactly one shown picture (NAL lengths, first slice present, VP8/VP9 show flags); nothing is marked
/// corrupt or cut off; an edit list cuts nothing away but of H.264 and HEVC; for MPEG-4 the container is not
/// AVI. Otherwise every packet is decoded and the frames are those that come out, in that order. Missing
/// times are then derived as libav does: from the decode times, or, in streams without any time, from the
/// declared rate (frame n at n / rate). A stream that passes the checks and still has a picture that never
/// decodes keeps the number for it; reading that frame gives an error. Damage inside a picture's data is
/// known only to a table that was decoded; where a reader meets unknown damage that the decoder reports, it
/// decodes that stretch anew from the first packet on one thread. Damage that the decoder does not report may
/// then still look different from path to path: Verify::always settles it.
///
/// Errors: not_found (no such file), bad_input (a directory, not a clip, no video stream, no such stream, no
/// frames), damaged (empty, or cut off before its index), unsupported (no decoder), io, cancelled.
[[nodiscard]] base::Result<FrameTable> scan_clip(const std::filesystem::path& path,
                                                 const ScanOptions& options = {});

}  // namespace plumbmark::media
