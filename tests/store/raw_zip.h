// Zip files written byte by byte, good and bad ones: what a program that means harm would write. After
// APPNOTE 6.3.10, with files stored as they are.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace plumbmark::test {

struct RawEntry {
    std::string name;
    std::string bytes;
    std::uint32_t mode = 0100644;    ///< of Unix, in the upper half of the external attributes
    std::uint16_t flags = 0;         ///< general purpose bits; 1: encrypted
    std::uint16_t method = 0;        ///< 0: stored
    std::int64_t claimed_size = -1;  ///< in the list of files; -1: the true one
};

inline std::uint32_t crc32_of(const std::string& bytes) {
    std::uint32_t crc = 0xFFFFFFFFU;
    for (const char c : bytes) {
        crc ^= static_cast<unsigned char>(c);
        for (int bit = 0; bit < 8; ++bit)
            crc = (crc >> 1U) ^ ((crc & 1U) != 0 ? 0xEDB88320U : 0U);
    }
    return ~crc;
}

inline void put(std::string& out, std::uint64_t number, int bytes) {
    for (int i = 0; i < bytes; ++i)
        out.push_back(static_cast<char>(number >> (8 * i) & 0xFFU));
}

inline std::string raw_zip(const std::vector<RawEntry>& entries) {
    std::string out, list;
    for (const RawEntry& entry : entries) {
        const std::uint64_t size =
            entry.claimed_size < 0 ? entry.bytes.size() : static_cast<std::uint64_t>(entry.claimed_size);
        const auto common = [&](std::string& to) {
            put(to, 20, 2);
            put(to, entry.flags, 2);
            put(to, entry.method, 2);
            put(to, 0x5C21'0000, 4);  // 2026-01-01
            put(to, crc32_of(entry.bytes), 4);
            put(to, entry.bytes.size(), 4);
            put(to, size, 4);
            put(to, entry.name.size(), 2);
            put(to, 0, 2);
        };
        const std::size_t at = out.size();
        out += "PK\3\4";
        common(out);
        out += entry.name + entry.bytes;
        list += "PK\1\2";
        put(list, 3U << 8U | 20U, 2);  // made on Unix
        common(list);
        put(list, 0, 2);
        put(list, 0, 2);
        put(list, 0, 2);
        put(list, std::uint64_t{entry.mode} << 16U, 4);
        put(list, at, 4);
        list += entry.name;
    }
    const std::size_t begin = out.size();
    out += list + "PK\5\6";
    put(out, 0, 4);
    put(out, entries.size(), 2);
    put(out, entries.size(), 2);
    put(out, list.size(), 4);
    put(out, begin, 4);
    put(out, 0, 2);
    return out;
}

}  // namespace plumbmark::test
