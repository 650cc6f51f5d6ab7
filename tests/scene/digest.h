// Short names for bytes: CRC-32 per picture, SHA-256 per clip.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "frame.h"

namespace plumbmark::scene {

/// CRC-32 (ISO 3309, as in zlib and PNG), carried on from 'crc' (0 to begin).
[[nodiscard]] std::uint32_t crc32(std::uint32_t crc, const void* bytes, std::size_t size);
/// Of the three planes in order.
[[nodiscard]] std::uint32_t crc32_of(const Picture& picture);
/// Eight hexadecimal digits.
[[nodiscard]] std::string hex(std::uint32_t value);

/// SHA-256 (FIPS 180-4) of bytes given piece by piece.
class Sha256 {
  public:
    Sha256();
    void add(const void* bytes, std::size_t size);
    void add(const Picture& picture);
    /// 64 hexadecimal digits. Nothing may be added afterwards.
    [[nodiscard]] std::string finish();

  private:
    void block(const std::uint8_t* bytes);
    std::uint32_t state_[8];
    std::uint8_t waiting_[64];
    std::uint64_t total_ = 0;
};

}  // namespace plumbmark::scene
