// Columns of numbers as bytes, in blocks: each block's numbers as their distance from its smallest, all of
// one width. Quick to read, since nothing is decided number by number. (Known as frame-of-reference coding:
// Goldstein, Ramakrishnan, Shaft, 'Compressing Relations and Indexes', ICDE 1998; from memory.)
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <span>
#include <string>
#include <string_view>

namespace plumbmark::media {

static_assert(std::endian::native == std::endian::little, "kept tables are little-endian");

constexpr std::size_t numbers_in_block = 512;
using NumberBlock = std::array<std::int64_t, numbers_in_block>;

/// Appends 1 to 512 numbers: the smallest (8 bytes), the width (1 byte: 0, 1, 2, 4 or 8), then the distances,
/// little-endian.
inline void append_block(std::span<const std::int64_t> numbers, std::string& bytes) {
    std::int64_t least = numbers.front(), most = numbers.front();
    for (const std::int64_t number : numbers) {
        least = std::min(least, number);
        most = std::max(most, number);
    }
    const auto reach = static_cast<std::uint64_t>(most) - static_cast<std::uint64_t>(least);
    const int needed = (std::bit_width(reach) + 7) / 8;
    const auto width = needed <= 2 ? static_cast<std::size_t>(needed) : needed <= 4 ? 4U : 8U;
    bytes.append(reinterpret_cast<const char*>(&least), sizeof least);
    bytes += static_cast<char>(width);
    for (const std::int64_t number : numbers) {
        const auto distance = static_cast<std::uint64_t>(number) - static_cast<std::uint64_t>(least);
        bytes.append(reinterpret_cast<const char*>(&distance), width);
    }
}

/// Takes one block of 'count' (1 to 512) numbers from the front of 'bytes'. False when they are not all
/// there.
inline bool take_block(std::string_view& bytes, std::size_t count, NumberBlock& numbers) {
    constexpr std::size_t head = sizeof(std::int64_t) + 1;
    if (bytes.size() < head) return false;
    std::uint64_t least = 0;
    std::memcpy(&least, bytes.data(), sizeof least);
    const auto width = static_cast<std::uint8_t>(bytes[sizeof least]);
    bytes.remove_prefix(head);
    const char* from = bytes.data();
    if (width > 8 || bytes.size() < count * width) return false;
    const auto read = [&]<class Distance>(Distance) {
        for (std::size_t i = 0; i < count; ++i) {
            Distance distance = 0;
            std::memcpy(&distance, from + i * sizeof distance, sizeof distance);
            numbers[i] = static_cast<std::int64_t>(least + distance);
        }
    };
    switch (width) {
        case 0:
            for (std::size_t i = 0; i < count; ++i)
                numbers[i] = static_cast<std::int64_t>(least);
            break;
        case 1:
            read(std::uint8_t{});
            break;
        case 2:
            read(std::uint16_t{});
            break;
        case 4:
            read(std::uint32_t{});
            break;
        case 8:
            read(std::uint64_t{});
            break;
        default:
            return false;
    }
    bytes.remove_prefix(count * width);
    return true;
}

}  // namespace plumbmark::media
