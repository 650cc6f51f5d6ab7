// One file of the cache folder: a mark, the facts it holds for, a checksum, and what is kept.
#pragma once

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <string_view>

namespace plumbmark::media {

/// A file's content; the memory is not cleared before it is read.
struct KeptContent {
    std::unique_ptr<char[]> bytes;
    std::size_t size = 0;
    std::size_t head = 0;  ///< bytes before what is kept
    [[nodiscard]] std::string_view payload() const { return {bytes.get() + head, size - head}; }
};

/// What is kept there under this mark and these facts; none when there is no such file, when it is damaged,
/// or when it holds for other facts. The file then counts as used just now.
[[nodiscard]] std::optional<KeptContent> read_kept(const std::filesystem::path& file, std::string_view magic,
                                                   std::string_view facts);

/// Writes it, whole or not at all, and lets the oldest files of its folder go where the folder is too full.
void write_kept(const std::filesystem::path& file, std::string_view magic, std::string_view facts,
                std::string_view payload);

}  // namespace plumbmark::media
