#include "media/internal/table_build.h"

#include <algorithm>
#include <cstdlib>
#include <numeric>

#include "base/check.h"

namespace plumbmark::media {
namespace {

std::vector<std::int64_t> shown_packets_by_time(const TableData& data) {
    std::vector<std::int64_t> order;
    for (std::size_t i = 0; i < data.packets.size(); ++i) {
        if (!data.packets[i].cut) order.push_back(static_cast<std::int64_t>(i));
    }
    std::stable_sort(order.begin(), order.end(), [&](std::int64_t a, std::int64_t b) {
        return data.packets[static_cast<std::size_t>(a)].pts < data.packets[static_cast<std::size_t>(b)].pts;
    });
    return order;
}

// The most pictures that stand before another in the file and after it on the screen.
int reorder_depth(const LongList<PacketEntry>& packets) {
    constexpr std::size_t window = 64;  // no codec here may hold back more than 16
    int deepest = 0;
    for (std::size_t i = 0; i < packets.size(); ++i) {
        int depth = 0;
        for (std::size_t j = i > window ? i - window : 0; j < i; ++j)
            depth += packets[j].pts > packets[i].pts ? 1 : 0;
        deepest = std::max(deepest, depth);
    }
    return deepest;
}

bool interlacing_matters(const ClipInfo& info) {
    const bool interlaced =
        info.field_order == FieldOrder::top_first || info.field_order == FieldOrder::bottom_first;
    return interlaced && info.codec != "mjpeg" && info.codec != "prores" && info.codec != "dnxhd";
}

std::int64_t nominal_ticks(const ClipInfo& info) {
    if (info.nominal_rate.num <= 0) return 1;
    const AVRational rate{static_cast<int>(info.nominal_rate.den), static_cast<int>(info.nominal_rate.num)};
    const AVRational base{static_cast<int>(info.time_base.num), static_cast<int>(info.time_base.den)};
    return std::max<std::int64_t>(1, av_rescale_q(1, rate, base));
}

std::int64_t last_duration(const TableData& data) {
    const FrameEntry& last = data.frames.back();
    const PacketEntry& packet = data.packets[static_cast<std::size_t>(last.packet)];
    if (packet.duration > 0) return packet.duration;
    if (data.frames.size() > 1)
        return std::max<std::int64_t>(1, last.pts - data.frames[data.frames.size() - 2].pts);
    return nominal_ticks(data.info);
}

// Times, durations and the way back from packets to frames, once order and pts stand.
void finish(TableData& data) {
    for (std::size_t n = 0; n < data.frames.size(); ++n) {
        FrameEntry& frame = data.frames[n];
        PacketEntry& packet = data.packets[static_cast<std::size_t>(frame.packet)];
        frame.time = base::floor_to_time(frame.pts, data.info.time_base);
        frame.key = packet.key && frame.occurrence == 0;
        if (frame.occurrence == 0) {
            packet.frame = static_cast<std::int64_t>(n);
        } else {
            data.further[{frame.packet, frame.occurrence}] = static_cast<std::int64_t>(n);
        }
        if (n > 0 && frame.time < data.frames[n - 1].time) data.times_rise = false;
        if (n > 0) data.frames[n - 1].duration = frame.pts - data.frames[n - 1].pts;
    }
    if (data.frames.empty()) return;
    std::int64_t shortest = INT64_MAX, longest = INT64_MIN;
    for (std::size_t n = 0; n + 1 < data.frames.size(); ++n) {
        shortest = std::min(shortest, data.frames[n].duration);
        longest = std::max(longest, data.frames[n].duration);
    }
    data.info.variable_rate = data.frames.size() > 2 && longest - shortest > 1;
    data.frames.back().duration = last_duration(data);
}

/// libav's guess at a frame's time from its reordered pts and its dts (guess_correct_pts in
/// libavcodec/decode.c): whichever of the two has gone backward less often.
class TimeGuess {
  public:
    std::int64_t next(std::int64_t pts, std::int64_t dts) {
        if (dts != no_time) {
            faulty_dts_ += dts <= last_dts_ ? 1 : 0;
            last_dts_ = dts;
        } else if (pts != no_time) {
            last_dts_ = pts;
        }
        if (pts != no_time) {
            faulty_pts_ += pts <= last_pts_ ? 1 : 0;
            last_pts_ = pts;
        } else if (dts != no_time) {
            last_pts_ = dts;
        }
        return (faulty_pts_ <= faulty_dts_ || dts == no_time) && pts != no_time ? pts : dts;
    }

  private:
    std::int64_t faulty_pts_ = 0, faulty_dts_ = 0, last_pts_ = INT64_MIN, last_dts_ = INT64_MIN;
};

bool has_no_times(const TableData& data) {
    return std::all_of(data.packets.begin(), data.packets.end(),
                       [](const PacketEntry& p) { return p.pts == no_time && p.dts == no_time; });
}

}  // namespace

std::string reason_to_decode(const TableData& data, int declared_delay) {
    const auto& packets = data.packets;
    if (interlacing_matters(data.info)) return "the stream is interlaced: a packet may hold one field";
    if (std::any_of(packets.begin(), packets.end(), [](const PacketEntry& p) { return p.pts == no_time; })) {
        return "packets have no presentation time";
    }
    const auto order = shown_packets_by_time(data);
    for (std::size_t i = 1; i < order.size(); ++i) {
        if (packets[static_cast<std::size_t>(order[i])].pts ==
            packets[static_cast<std::size_t>(order[i - 1])].pts) {
            return "two packets have the same presentation time";
        }
    }
    if (packets.empty() || !packets.front().start) return "the stream does not begin with a full key frame";
    if (!order.empty() && packets[static_cast<std::size_t>(order.front())].pts < packets.front().pts) {
        return "pictures are shown before the first key frame";
    }
    if (reorder_depth(packets) > declared_delay)
        return "pictures are reordered further than the stream declares";
    return {};
}

void frames_from_packets(TableData& data) {
    for (const std::int64_t packet : shown_packets_by_time(data)) {
        FrameEntry frame;
        frame.pts = data.packets[static_cast<std::size_t>(packet)].pts;
        frame.packet = packet;
        data.frames.push_back(frame);
    }
    finish(data);
}

void frames_from_decoding(TableData& data, const std::vector<ShownFrame>& shown) {
    const bool counted = has_no_times(data);
    if (counted) {
        // The declared rate becomes the time base, so that frame n lies at n / rate exactly.
        const base::Rational rate =
            data.info.nominal_rate.num > 0 ? data.info.nominal_rate : base::Rational{25, 1};
        data.info.time_base = {rate.den, rate.num};
    }
    TimeGuess guess;
    for (const ShownFrame& one : shown) {
        FrameEntry frame;
        frame.packet = one.packet;
        frame.occurrence = one.occurrence;
        frame.damaged = one.damaged;
        const std::int64_t own =
            one.occurrence == 0 ? data.packets[static_cast<std::size_t>(one.packet)].pts : no_time;
        const std::int64_t guessed = guess.next(own, one.dts);
        const auto n = static_cast<std::int64_t>(data.frames.size());
        if (counted) {
            frame.pts = n;
        } else if (own != no_time) {
            frame.pts = own;
        } else if (guessed != no_time) {
            frame.pts = guessed;
        } else {
            frame.pts = n == 0 ? 0 : data.frames.back().pts + nominal_ticks(data.info);
        }
        data.frames.push_back(frame);
    }
    finish(data);
}

}  // namespace plumbmark::media
