#include "media/internal/table_rows.h"

#include <algorithm>
#include <cmath>

#include "base/time.h"
#include "media/internal/number_blocks.h"

namespace plumbmark::media {
namespace {

// Sums that may leave 64 bits wrap, and come back when they are taken apart.
std::int64_t plus(std::int64_t a, std::int64_t b) {
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) + static_cast<std::uint64_t>(b));
}
std::int64_t minus(std::int64_t a, std::int64_t b) {
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) - static_cast<std::uint64_t>(b));
}

template <std::size_t Columns>
struct Block {
    std::array<std::uint8_t, numbers_in_block> flags{};
    std::array<NumberBlock, Columns> columns;
};

/// Packets as numbers that are small and alike: each field against what the packet before lets one expect.
class PacketCode {
  public:
    using Row = PacketEntry;
    static constexpr std::size_t columns = 7;

    void take_apart(const PacketEntry& p, std::int64_t index, Block<columns>& block, std::size_t i) {
        block.flags[i] = static_cast<std::uint8_t>(p.key | p.start << 1 | p.cut << 2 | p.disposable << 3 |
                                                   static_cast<int>(p.wrong) << 4);
        const std::int64_t step = minus(p.dts, last_.dts);
        block.columns[0][i] = minus(step, step_);
        block.columns[1][i] = minus(p.pts, p.dts);
        block.columns[2][i] = minus(p.pos, plus(last_.pos, last_.size));
        block.columns[3][i] = minus(p.duration, last_.duration);
        block.columns[4][i] = p.size;
        block.columns[5][i] = p.digest;
        block.columns[6][i] = minus(p.frame, index);
        step_ = step;
        last_ = p;
    }
    void put_together(const Block<columns>& block, std::size_t i, std::int64_t index, PacketEntry& p) {
        const int flags = block.flags[i];
        p.key = flags & 1, p.start = flags & 2, p.cut = flags & 4, p.disposable = flags & 8;
        p.wrong = static_cast<Wrong>(flags >> 4);
        step_ = plus(step_, block.columns[0][i]);
        p.dts = plus(last_.dts, step_);
        p.pts = plus(block.columns[1][i], p.dts);
        p.pos = plus(block.columns[2][i], plus(last_.pos, last_.size));
        p.duration = plus(block.columns[3][i], last_.duration);
        p.size = static_cast<std::int32_t>(block.columns[4][i]);
        p.digest = static_cast<std::uint32_t>(block.columns[5][i]);
        p.frame = plus(block.columns[6][i], index);
        last_ = p;
    }

  private:
    PacketEntry last_;
    std::int64_t step_ = 0;
};

class FrameCode {
  public:
    using Row = FrameEntry;
    static constexpr std::size_t columns = 4;

    void take_apart(const FrameEntry& f, std::int64_t index, Block<columns>& block, std::size_t i) {
        block.flags[i] = static_cast<std::uint8_t>(f.key | f.damaged << 1);
        block.columns[0][i] = minus(f.pts, plus(last_.pts, last_.duration));
        block.columns[1][i] = minus(f.duration, last_.duration);
        block.columns[2][i] = minus(f.packet, index);
        block.columns[3][i] = f.occurrence;
        last_ = f;
    }
    void put_together(const Block<columns>& block, std::size_t i, std::int64_t index, FrameEntry& f) {
        f.key = block.flags[i] & 1, f.damaged = block.flags[i] & 2;
        f.pts = plus(block.columns[0][i], plus(last_.pts, last_.duration));
        f.duration = plus(block.columns[1][i], last_.duration);
        f.packet = plus(block.columns[2][i], index);
        f.occurrence = static_cast<int>(block.columns[3][i]);
        last_ = f;
    }

  private:
    FrameEntry last_;
};

template <class Code>
void append_all(const LongList<typename Code::Row>& rows, std::string& bytes) {
    Code code;
    Block<Code::columns> block;
    for (std::size_t first = 0; first < rows.size(); first += numbers_in_block) {
        const std::size_t count = std::min(numbers_in_block, rows.size() - first);
        for (std::size_t i = 0; i < count; ++i)
            code.take_apart(rows[first + i], static_cast<std::int64_t>(first + i), block, i);
        bytes.append(reinterpret_cast<const char*>(block.flags.data()), count);
        for (const NumberBlock& column : block.columns)
            append_block(std::span(column).first(count), bytes);
    }
}

template <std::size_t Columns>
bool take_columns(std::string_view& bytes, std::size_t count, Block<Columns>& block) {
    if (bytes.size() < count) return false;
    std::memcpy(block.flags.data(), bytes.data(), count);
    bytes.remove_prefix(count);
    return std::all_of(block.columns.begin(), block.columns.end(),
                       [&](NumberBlock& column) { return take_block(bytes, count, column); });
}

/// 'settle' completes a row; false when it makes no sense.
template <class Code, class Settle>
bool take_all(std::size_t total, std::string_view& bytes, LongList<typename Code::Row>& rows, Settle settle) {
    if (total > bytes.size()) return false;
    rows.reserve(total);
    Code code;
    Block<Code::columns> block;
    bool good = true;
    while (rows.size() < total) {
        const std::size_t count = std::min(numbers_in_block, total - rows.size());
        if (!take_columns(bytes, count, block)) return false;
        for (std::size_t i = 0; i < count; ++i) {
            typename Code::Row row;
            code.put_together(block, i, static_cast<std::int64_t>(rows.size()), row);
            good &= settle(row);
            rows.push_back(row);
        }
    }
    return good;
}

bool within(std::int64_t value, std::int64_t from, std::size_t end) {
    return value >= from && value < static_cast<std::int64_t>(end);
}

}  // namespace

void append_rows(const TableData& data, std::string& bytes) {
    append_all<PacketCode>(data.packets, bytes);
    append_all<FrameCode>(data.frames, bytes);
}

bool take_rows(std::size_t packets, std::size_t frames, std::string_view& bytes, TableData& data) {
    const base::Rational unit = data.info.time_base;
    // Later times than 64 bits of nanoseconds hold (292 years) are in no table.
    const double most_ticks = 9.2e9 * static_cast<double>(unit.den) / static_cast<double>(unit.num);
    const auto settle_frame = [&](FrameEntry& frame) {
        if (!within(frame.packet, 0, packets) || !(std::abs(static_cast<double>(frame.pts)) < most_ticks))
            return false;
        frame.time = base::floor_to_time(frame.pts, unit);
        return true;
    };
    return take_all<PacketCode>(packets, bytes, data.packets,
                                [&](PacketEntry& packet) { return within(packet.frame, -1, frames); }) &&
           take_all<FrameCode>(frames, bytes, data.frames, settle_frame);
}

}  // namespace plumbmark::media
