#include "media/fingerprint.h"

#include <algorithm>
#include <array>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "media/internal/container.h"
#include "media/internal/libav.h"

namespace plumbmark::media {
namespace {

using base::Category;

class Sha256 {
  public:
    Sha256() : context_(av_sha_alloc()) {
        PLUMBMARK_CHECK(context_ != nullptr);
        av_sha_init(context_.get(), 256);
    }
    void add(const void* bytes, std::size_t size) {
        av_sha_update(context_.get(), static_cast<const std::uint8_t*>(bytes), size);
    }
    std::string hex() {
        std::array<std::uint8_t, 32> sum{};
        av_sha_final(context_.get(), sum.data());
        static constexpr char digits[] = "0123456789abcdef";
        std::string text;
        for (const std::uint8_t byte : sum)
            text += {digits[byte >> 4], digits[byte & 15]};
        return text;
    }

  private:
    std::unique_ptr<AVSHA, MemoryFreer> context_;
};

base::Error ended(const std::filesystem::path& path) {
    return clip_error(
        Category::io,
        base::worded("The file was cut short while it was read. Copy it again from the camera."), path);
}

// Adds the bytes from 'from' on, as many as the buffer holds.
base::Result<void> add_block(ClipBytes& bytes, std::int64_t from, std::span<std::uint8_t> buffer, Sha256& sum,
                             const Reading& reading) {
    for (std::size_t filled = 0; filled < buffer.size();) {
        if (reading.stop.stop_requested())
            return clip_error(Category::cancelled, base::worded("Reading the file was stopped."),
                              reading.path);
        const auto got =
            bytes.read(from + static_cast<std::int64_t>(filled), buffer.subspan(filled), reading.stop);
        if (!got) return got.error();
        if (*got == 0) return ended(reading.path);
        filled += *got;
    }
    sum.add(buffer.data(), buffer.size());
    return {};
}

}  // namespace

base::Result<Fingerprint> fingerprint(ClipBytes& bytes, const Reading& reading) {
    constexpr std::int64_t block = 16384, blocks = 16;
    const std::int64_t size = bytes.mark().size;
    Sha256 sum;
    std::array<std::uint8_t, 8> size_bytes{};
    for (unsigned i = 0; i < 8; ++i)
        size_bytes[i] = static_cast<std::uint8_t>(static_cast<std::uint64_t>(size) >> (8 * i));
    sum.add(size_bytes.data(), size_bytes.size());
    const bool whole = size <= block * blocks;
    std::vector<std::uint8_t> buffer(static_cast<std::size_t>(whole ? size : block));
    for (std::int64_t i = 0; i < (whole ? 1 : blocks); ++i) {
        // The quotient apart from the rest: the product could leave 64 bits.
        const std::int64_t from =
            whole ? 0
                  : i * ((size - block) / (blocks - 1)) + i * ((size - block) % (blocks - 1)) / (blocks - 1);
        if (auto added = add_block(bytes, from, buffer, sum, reading); !added) return added.error();
    }
    return Fingerprint{static_cast<std::uint64_t>(size), sum.hex()};
}

base::Result<Fingerprint> fingerprint(const std::filesystem::path& path, std::stop_token stop) {
    const Reading reading{path, std::move(stop)};
    auto bytes = open_file_bytes(path, reading.stop);
    if (!bytes) return bytes.error();
    return fingerprint(**bytes, reading);
}

base::Result<std::string> sha256_file(ClipBytes& bytes, const Reading& reading,
                                      const std::function<void(double)>& progress) {
    constexpr std::int64_t step = std::int64_t{1} << 20;
    const std::int64_t size = bytes.mark().size;
    Sha256 sum;
    std::vector<std::uint8_t> buffer(static_cast<std::size_t>(std::min(step, size)));
    for (std::int64_t at = 0; at < size; at += step) {
        const auto wanted = static_cast<std::size_t>(std::min(step, size - at));
        if (auto added = add_block(bytes, at, std::span(buffer).first(wanted), sum, reading); !added)
            return added.error();
        if (progress) progress(static_cast<double>(at) / static_cast<double>(size));
    }
    if (progress) progress(1.0);
    return sum.hex();
}

base::Result<std::string> sha256_file(const std::filesystem::path& path, std::stop_token stop,
                                      const std::function<void(double)>& progress) {
    const Reading reading{path, std::move(stop)};
    auto bytes = open_file_bytes(path, reading.stop);
    if (!bytes) return bytes.error();
    return sha256_file(**bytes, reading, progress);
}

}  // namespace plumbmark::media
