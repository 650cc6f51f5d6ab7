#include "media/internal/damage.h"

#include <algorithm>

#include "base/catalogue.h"

namespace plumbmark::media {
namespace {

/// A faulty packet, placed among the frames. Sorted by place, then by whether it has a frame.
struct Fault {
    std::int64_t place = 0;  // its frame, or the frame before which its picture is missing
    bool missing = false;    // it has no frame
    std::int64_t lean_until = -1;
    Wrong wrong = Wrong::nothing;
};

// For a picture without a number: how many frames are shown before it.
std::int64_t place_of_missing(const TableData& data, std::size_t packet) {
    const std::int64_t pts = data.packets[packet].pts;
    if (pts != no_time && data.times_rise && data.info.basis == TableBasis::decoded) {
        const auto after =
            std::upper_bound(data.frames.begin(), data.frames.end(), pts,
                             [](std::int64_t value, const FrameEntry& frame) { return value < frame.pts; });
        return after - data.frames.begin();
    }
    for (std::size_t later = packet + 1; later < data.packets.size(); ++later) {
        if (data.packets[later].frame >= 0) return data.packets[later].frame;
    }
    return static_cast<std::int64_t>(data.frames.size());
}

std::vector<Fault> faults_of(const TableData& data) {
    std::vector<Fault> faults;
    auto next_start = static_cast<std::int64_t>(data.frames.size());  // frame of the next place to begin anew
    for (std::size_t i = data.packets.size(); i-- > 0;) {
        const PacketEntry& packet = data.packets[i];
        if (packet.wrong != Wrong::nothing) {
            Fault fault;
            fault.missing = packet.frame < 0;
            fault.place = fault.missing ? place_of_missing(data, i) : packet.frame;
            fault.lean_until = std::max(next_start - 1, fault.missing ? -1 : fault.place);
            fault.wrong = packet.wrong;
            faults.push_back(fault);
        }
        if (packet.start && packet.wrong == Wrong::nothing && packet.frame >= 0) next_start = packet.frame;
    }
    std::sort(faults.begin(), faults.end(), [](const Fault& a, const Fault& b) {
        return a.place != b.place ? a.place < b.place : a.missing && !b.missing;
    });
    return faults;
}

base::Time end_time(const TableData& data) {
    const FrameEntry& last = data.frames.back();
    return base::floor_to_time(last.pts + last.duration, data.info.time_base);
}

base::Time start_of(const TableData& data, std::int64_t frame) {
    return frame < static_cast<std::int64_t>(data.frames.size())
               ? data.frames[static_cast<std::size_t>(frame)].time
               : end_time(data);
}

BadStretch stretch_of(const Fault& fault) {
    BadStretch stretch;
    stretch.first = fault.place;
    stretch.last = fault.missing ? fault.place - 1 : fault.place;
    stretch.lean_until = std::max(fault.lean_until, stretch.last);
    stretch.what = words_of(fault.wrong);
    return stretch;
}

void set_times(const TableData& data, BadStretch& stretch) {
    const bool no_frame = stretch.last < stretch.first;
    // Where only pictures without a number are missing, the frame before stands on the screen in their place.
    stretch.from = start_of(data, no_frame ? std::max<std::int64_t>(0, stretch.first - 1) : stretch.first);
    stretch.until = start_of(data, std::max(stretch.last + 1, stretch.first));
}

std::uint64_t big_endian(const std::uint8_t* bytes, int count) {
    std::uint64_t value = 0;
    for (int i = 0; i < count; ++i)
        value = value << 8 | bytes[i];
    return value;
}

/// The head of an EBML element (RFC 8794): its length and that of what it holds, -1 where unknown or none.
struct Element {
    std::uint64_t id = 0;
    std::int64_t head = -1, body = -1;
};

int bytes_by_first(std::uint8_t first) {
    int count = 1;
    while (count <= 8 && !(first & (0x80U >> (count - 1))))
        ++count;
    return count;
}

Element element_at(const std::uint8_t* bytes, std::int64_t size) {
    if (size < 2) return {};
    const int id_bytes = bytes_by_first(bytes[0]);
    if (id_bytes > 4 || id_bytes + 1 > size) return {};
    const int size_bytes = bytes_by_first(bytes[id_bytes]);
    if (size_bytes > 8 || id_bytes + size_bytes > size) return {};
    const std::uint64_t mark = std::uint64_t{1} << (7 * size_bytes);
    const std::uint64_t body = big_endian(bytes + id_bytes, size_bytes) & (mark - 1);
    const bool unknown = body == mark - 1;  // all ones: a recording that was never finished
    return {big_endian(bytes, id_bytes), id_bytes + size_bytes,
            unknown || body > INT64_MAX / 2 ? -1 : static_cast<std::int64_t>(body)};
}

std::int64_t matroska_end(const std::uint8_t* bytes, std::int64_t size) {
    constexpr std::uint64_t ebml = 0x1A45DFA3, segment = 0x18538067;
    const Element header = element_at(bytes, size);
    if (header.id != ebml || header.body < 0 || header.head + header.body >= size) return 0;
    const std::int64_t at = header.head + header.body;
    const Element body = element_at(bytes + at, size - at);
    return body.id == segment && body.body >= 0 ? at + body.head + body.body : 0;
}

std::int64_t avi_end(const std::uint8_t* bytes, std::int64_t size) {
    if (size < 8 || std::string(bytes, bytes + 4) != "RIFF") return 0;
    std::int64_t length = 0;
    for (int i = 7; i >= 4; --i)
        length = length << 8 | bytes[i];
    return 8 + length;
}

}  // namespace

std::string words_of(Wrong wrong) {
    switch (wrong) {
        case Wrong::nothing:
            break;
        case Wrong::cut_off:
            return base::to_translate("the file ends in the middle of this picture");
        case Wrong::marked:
            return base::to_translate("parts of this picture are missing or marked as corrupt in the file");
        case Wrong::ill_formed:
            return base::to_translate("the data of this picture do not have the form that they should");
        case Wrong::refused:
            return base::to_translate("the decoder refuses the data of this picture");
        case Wrong::made_up:
            return base::to_translate("the decoder had to make up parts of this picture");
        case Wrong::never_shown:
            return base::to_translate("this picture never comes out of the decoder");
    }
    return {};
}

std::int64_t declared_beyond_end(const Demuxer& demuxer) {
    auto bytes = demuxer.head();
    const auto size = static_cast<std::int64_t>(bytes.size());
    const std::string container = demuxer.format().iformat->name;
    std::int64_t end = 0;
    if (container.starts_with("matroska")) end = matroska_end(bytes.data(), size);
    if (container == "avi") end = avi_end(bytes.data(), size);
    return end > demuxer.bytes().mark().size ? end : 0;
}

std::int64_t packets_behind_end(const Demuxer& demuxer) {
    if (!std::string(demuxer.format().iformat->name).starts_with("mov,")) return 0;
    auto* stream = const_cast<AVStream*>(&demuxer.stream());  // looking changes nothing
    const std::int64_t size = demuxer.bytes().mark().size;
    std::int64_t behind = 0;
    for (int i = 0; i < avformat_index_get_entries_count(stream); ++i) {
        const AVIndexEntry* entry = avformat_index_get_entry(stream, i);
        behind += entry->pos > size || entry->size > size - entry->pos ? 1 : 0;
    }
    return behind;
}

void find_bad_stretches(TableData& data, const std::string& missing_end) {
    data.bad_stretches.clear();
    for (const Fault& fault : faults_of(data)) {
        BadStretch next = stretch_of(fault);
        BadStretch* before = data.bad_stretches.empty() ? nullptr : &data.bad_stretches.back();
        const bool joins = before && before->what == next.what && next.first <= before->last + 1 &&
                           (next.last >= next.first) == (before->last >= before->first);
        if (!joins) {
            data.bad_stretches.push_back(std::move(next));
            continue;
        }
        before->last = std::max(before->last, next.last);
        before->lean_until = std::max(before->lean_until, next.lean_until);
    }
    if (!missing_end.empty()) {
        const auto size = static_cast<std::int64_t>(data.frames.size());
        data.bad_stretches.push_back({size, size - 1, size - 1, {}, {}, missing_end});
    }
    for (BadStretch& stretch : data.bad_stretches)
        set_times(data, stretch);
}

}  // namespace plumbmark::media
