#include "media/table_cache.h"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "media/fingerprint.h"
#include "media/internal/libav.h"
#include "media/internal/table_bytes.h"

extern "C" {
#include <libavutil/murmur3.h>
}

namespace plumbmark::media {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kMagic = "PLMKTAB\n";
constexpr std::size_t kMostTables = 512;
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

/// A file's content; the memory is not cleared before it is read.
struct Content {
    std::unique_ptr<char[]> bytes;
    std::size_t size = 0;
    [[nodiscard]] std::string_view all() const { return {bytes.get(), size}; }
};

std::optional<Content> read_whole(const fs::path& file) {
    std::ifstream in(file, std::ios::binary | std::ios::ate);
    const std::streamoff size = in ? static_cast<std::streamoff>(in.tellg()) : -1;
    if (size < 0) return std::nullopt;
    Content content{std::make_unique_for_overwrite<char[]>(static_cast<std::size_t>(size)),
                    static_cast<std::size_t>(size)};
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
        if (count <= kMostTables && bytes <= kMostBytes) return;
        fs::remove(oldest.file, ignored);
        --count;
        bytes -= oldest.bytes;
    }
}

}  // namespace

fs::path user_cache_folder() {
    const char* cache = std::getenv("XDG_CACHE_HOME");
    if (cache && fs::path(cache).is_absolute()) return fs::path(cache) / "plumbmark";
    const char* home = std::getenv("HOME");
    if (home && fs::path(home).is_absolute()) return fs::path(home) / ".cache" / "plumbmark";
    return {};
}

std::optional<TableKey> table_key(const fs::path& clip, const ScanOptions& options, const fs::path& folder) {
    if (folder.empty() || options.open_bytes) return std::nullopt;
    const auto bytes = open_file_bytes(clip, options.stop);
    if (!bytes) return std::nullopt;
    const auto print = fingerprint(**bytes, {clip, options.stop});
    if (!print) return std::nullopt;
    const std::string how =
        std::to_string(options.stream.value_or(-1)) + (options.verify == Verify::always ? " verified" : "");
    TableKey key;
    key.facts = "table " + std::to_string(kTableVersion) + "\nlibav " + std::to_string(avformat_version()) +
                " " + std::to_string(avcodec_version()) + "\nsize " + std::to_string(print->size) +
                "\nchanged " + std::to_string((*bytes)->mark().changed_at) + "\nsample " + print->sample +
                "\nstream " + how + "\n";
    key.file = folder / "frame-tables" /
               (print->sample.substr(0, 40) + "-" + std::to_string(options.stream.value_or(-1)) +
                (options.verify == Verify::always ? "v" : "") + ".table");
    return key;
}

std::optional<FrameTable> recall_table(const TableKey& key) {
    const auto content = read_whole(key.file);
    const std::size_t head = kMagic.size() + key.facts.size() + sizeof(Checksum);
    if (!content || content->size < head) return std::nullopt;
    const std::string_view all = content->all();
    if (all.substr(0, kMagic.size()) != kMagic || all.substr(kMagic.size(), key.facts.size()) != key.facts)
        return std::nullopt;
    const Checksum sum = checksum(all.substr(head));
    if (std::memcmp(sum.data(), all.data() + head - sizeof sum, sizeof sum) != 0) return std::nullopt;
    auto data = table_from_bytes(all.substr(head));
    if (!data) return std::nullopt;
    std::error_code ignored;
    fs::last_write_time(key.file, fs::file_time_type::clock::now(), ignored);  // used just now
    return FrameTable(std::move(data));
}

void keep_table(const TableKey& key, const FrameTable& table) {
    std::error_code failed;
    fs::create_directories(key.file.parent_path(), failed);
    if (failed) return;
    const std::string payload = table_bytes(table.data());
    const Checksum sum = checksum(payload);
    // Under another name until it is whole.
    const fs::path part = key.file.string() + "." + std::to_string(getpid()) + ".part";
    {
        std::ofstream out(part, std::ios::binary | std::ios::trunc);
        out << kMagic << key.facts;
        out.write(reinterpret_cast<const char*>(sum.data()), sizeof sum);
        out << payload;
        out.close();
        if (!out) failed = std::make_error_code(std::errc::io_error);
    }
    if (!failed) fs::rename(part, key.file, failed);
    if (failed) fs::remove(part, failed);
    drop_oldest(key.file.parent_path());
}

}  // namespace plumbmark::media
