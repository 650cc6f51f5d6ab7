#include "media/frame_table.h"

#include <algorithm>

#include "base/check.h"
#include "media/internal/table_data.h"

namespace plumbmark::media {

std::int64_t TableData::start_packet(std::int64_t n) const {
    if (identity_by_count || frames[static_cast<std::size_t>(n)].packet >= first_damage) return 0;
    for (std::int64_t p = frames[static_cast<std::size_t>(n)].packet; p > 0; --p) {
        const PacketEntry& packet = packets[static_cast<std::size_t>(p)];

        // Pictures shown before the key frame but stored after it may lean on the group before (open groups).
        if (packet.start && packet.frame >= 0 && packet.frame <= n) return p;
    }
    return 0;
}

FrameTable::FrameTable() : data_(std::make_shared<const TableData>()) {}

FrameTable::FrameTable(std::shared_ptr<const TableData> data) : data_(std::move(data)) {
    PLUMBMARK_CHECK(data_ != nullptr);
}

std::int64_t FrameTable::size() const {
    return static_cast<std::int64_t>(data_->frames.size());
}

const FrameEntry& FrameTable::operator[](std::int64_t n) const {
    PLUMBMARK_CHECK(n >= 0 && n < size());
    return data_->frames[static_cast<std::size_t>(n)];
}

base::Rational FrameTable::time_base() const {
    return data_->info.time_base;
}

const ClipInfo& FrameTable::info() const {
    return data_->info;
}

base::Rational FrameTable::exact_time(std::int64_t n) const {
    return base::exact_seconds((*this)[n].pts, data_->info.time_base);
}

base::Time FrameTable::time(std::int64_t n) const {
    return (*this)[n].time;
}

std::int64_t FrameTable::frame_at(base::Time t) const {
    const auto& frames = data_->frames;
    if (!data_->times_rise) {
        for (std::int64_t n = size() - 1; n >= 0; --n) {
            if (time(n) <= t) return n;
        }
        return -1;
    }
    const auto after =
        std::upper_bound(frames.begin(), frames.end(), t,
                         [](base::Time value, const FrameEntry& frame) { return value < frame.time; });
    return after - frames.begin() - 1;
}

const std::vector<BadStretch>& FrameTable::bad_stretches() const {
    return data_->bad_stretches;
}

std::int64_t FrameTable::group_start(std::int64_t n) const {
    PLUMBMARK_CHECK(n >= 0 && n < size());
    const std::int64_t packet = data_->start_packet(n);
    const std::int64_t frame = data_->packets[static_cast<std::size_t>(packet)].frame;
    return frame < 0 || packet == 0 ? 0 : frame;
}

}  // namespace plumbmark::media
