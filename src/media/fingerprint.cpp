#include "media/fingerprint.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <memory>
#include <system_error>
#include <vector>

#include "media/internal/demuxer.h"
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

/// An open file with its size.
struct Source {
    std::ifstream stream;
    std::uint64_t size = 0;
};

base::Result<Source> open_source(const std::filesystem::path& path) {
    std::error_code error;
    if (!std::filesystem::exists(path, error))
        return clip_error(Category::not_found, "There is no such file.", path);
    if (std::filesystem::is_directory(path, error)) {
        return clip_error(Category::bad_input, "This is a folder, not a file.", path);
    }
    Source source;
    source.size = std::filesystem::file_size(path, error);
    source.stream.open(path, std::ios::binary);
    if (error || !source.stream) {
        return clip_error(Category::io, "The file cannot be read. Check its drive and the right to read it.",
                          path);
    }
    return source;
}

// Adds the bytes from..from+size; false when they cannot be read.
bool add_block(Source& source, std::uint64_t from, std::uint64_t size, Sha256& sum,
               std::vector<char>& buffer) {
    buffer.resize(size);
    source.stream.seekg(static_cast<std::streamoff>(from));
    source.stream.read(buffer.data(), static_cast<std::streamsize>(size));
    if (static_cast<std::uint64_t>(source.stream.gcount()) != size) return false;
    sum.add(buffer.data(), buffer.size());
    return true;
}

base::Error stopped(const std::filesystem::path& path) {
    return clip_error(Category::cancelled, "Reading the file was stopped.", path);
}

base::Error unreadable(const std::filesystem::path& path) {
    return clip_error(Category::io, "The file cannot be read to its end. Try again, or copy it.", path);
}

}  // namespace

base::Result<Fingerprint> fingerprint(const std::filesystem::path& path, std::stop_token stop) {
    constexpr std::uint64_t block = 16384, blocks = 16;
    auto source = open_source(path);
    if (!source) return source.error();
    Sha256 sum;
    std::array<std::uint8_t, 8> size_bytes{};
    for (unsigned i = 0; i < 8; ++i)
        size_bytes[i] = static_cast<std::uint8_t>(source->size >> (8 * i));
    sum.add(size_bytes.data(), size_bytes.size());
    std::vector<char> buffer;
    const bool whole = source->size <= block * blocks;
    for (std::uint64_t i = 0; i < (whole ? 1 : blocks); ++i) {
        if (stop.stop_requested()) return stopped(path);
        const std::uint64_t from = whole ? 0 : i * (source->size - block) / (blocks - 1);
        if (!add_block(*source, from, whole ? source->size : block, sum, buffer)) return unreadable(path);
    }
    return Fingerprint{source->size, sum.hex()};
}

base::Result<std::string> sha256_file(const std::filesystem::path& path, std::stop_token stop,
                                      const std::function<void(double)>& progress) {
    constexpr std::uint64_t step = std::uint64_t{1} << 20;
    auto source = open_source(path);
    if (!source) return source.error();
    Sha256 sum;
    std::vector<char> buffer;
    for (std::uint64_t at = 0; at < source->size; at += step) {
        if (stop.stop_requested()) return stopped(path);
        if (!add_block(*source, at, std::min(step, source->size - at), sum, buffer)) return unreadable(path);
        if (progress) progress(static_cast<double>(at) / static_cast<double>(source->size));
    }
    if (progress) progress(1.0);
    return sum.hex();
}

}  // namespace plumbmark::media
