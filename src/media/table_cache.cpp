#include "media/table_cache.h"

#include <cstdlib>
#include <string>
#include <string_view>

#include "media/fingerprint.h"
#include "media/internal/kept_file.h"
#include "media/internal/libav.h"
#include "media/internal/table_bytes.h"

namespace plumbmark::media {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kMagic = "PLMKTAB\n";

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
    const auto kept = read_kept(key.file, kMagic, key.facts);
    if (!kept) return std::nullopt;
    auto data = table_from_bytes(kept->payload());
    if (!data) return std::nullopt;
    return FrameTable(std::move(data));
}

void keep_table(const TableKey& key, const FrameTable& table) {
    write_kept(key.file, kMagic, key.facts, table_bytes(table.data()));
}

}  // namespace plumbmark::media
