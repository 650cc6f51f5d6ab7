#include "media/internal/kept_file.h"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <vector>

#include "media/internal/libav.h"

extern "C" {
#include <libavutil/murmur3.h>
}

#include "base/check.h"

namespace plumbmark::media {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostFiles = 1024;  // a frame table and the repeated pictures of 512 clips
constexpr std::uintmax_t kMostBytes = std::uintmax_t{512} << 20;

using Checksum = std::array<std::uint8_t, 16>;

// MurmurHash3 (Austin Appleby, x64, 128 bits; libavutil's): chance damage slips through once in 2^128, and it
// reads at several times the speed of a CRC.
Checksum checksum(std::string_view bytes) {
    const std::unique_ptr<AVMurMur3, MemoryFreer> context(av_murmur3_alloc());
    PLUMBMARK_CHECK(context != nullptr);
    av_murmur3_init(context.get());
    av_murmur3_update(context.get(), reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
    Checksum sum;
    av_murmur3_final(context.get(), sum.data());
    return sum;
}

std::optional<KeptContent> read_whole(const fs::path& file) {
    std::ifstream in(file, std::ios::binary | std::ios::ate);
    const std::streamoff size = in ? static_cast<std::streamoff>(in.tellg()) : -1;
    if (size < 0) return std::nullopt;
    KeptContent content{std::make_unique_for_overwrite<char[]>(static_cast<std::size_t>(size)),
                        static_cast<std::size_t>(size), 0};
    in.seekg(0);
    if (!in.read(content.bytes.get(), size)) return std::nullopt;
    return content;
}

struct KeptFile {
    fs::path file;
    fs::file_time_type used;
    std::uintmax_t bytes = 0;
};

void drop_oldest(const fs::path& folder) {
    std::error_code ignored;
    std::vector<KeptFile> files;
    std::uintmax_t bytes = 0;
    for (const auto& entry : fs::directory_iterator(folder, ignored)) {
        files.push_back({entry.path(), entry.last_write_time(ignored), entry.file_size(ignored)});
        bytes += files.back().bytes;
    }
    std::sort(files.begin(), files.end(),
              [](const KeptFile& a, const KeptFile& b) { return a.used < b.used; });
    std::size_t count = files.size();
    for (const KeptFile& oldest : files) {
        if (count <= kMostFiles && bytes <= kMostBytes) return;
        fs::remove(oldest.file, ignored);
        --count;
        bytes -= oldest.bytes;
    }
}

}  // namespace

std::optional<KeptContent> read_kept(const fs::path& file, std::string_view magic, std::string_view facts) {
    auto content = read_whole(file);
    const std::size_t head = magic.size() + facts.size() + sizeof(Checksum);
    if (!content || content->size < head) return std::nullopt;
    const std::string_view all(content->bytes.get(), content->size);
    if (all.substr(0, magic.size()) != magic || all.substr(magic.size(), facts.size()) != facts)
        return std::nullopt;
    const Checksum sum = checksum(all.substr(head));
    if (std::memcmp(sum.data(), all.data() + head - sizeof sum, sizeof sum) != 0) return std::nullopt;
    std::error_code ignored;
    fs::last_write_time(file, fs::file_time_type::clock::now(), ignored);
    content->head = head;
    return content;
}

void write_kept(const fs::path& file, std::string_view magic, std::string_view facts,
                std::string_view payload) {
    std::error_code failed;
    fs::create_directories(file.parent_path(), failed);
    if (failed) return;
    const Checksum sum = checksum(payload);
    // Under another name until it is whole.
    const fs::path part = file.string() + "." + std::to_string(getpid()) + ".part";
    {
        std::ofstream out(part, std::ios::binary | std::ios::trunc);
        out << magic << facts;
        out.write(reinterpret_cast<const char*>(sum.data()), sizeof sum);
        out << payload;
        out.close();
        if (!out) failed = std::make_error_code(std::errc::io_error);
    }
    if (!failed) fs::rename(part, file, failed);
    if (failed) fs::remove(part, failed);
    drop_oldest(file.parent_path());
}

}  // namespace plumbmark::media
