// A file that is there whole or not at all.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>

#include "base/result.h"

namespace plumbmark::media {

/// Written under the target's name with ".part" behind it, in the target's folder, and moved to its name by
/// keep(). Until then, and where anything fails, what stood there before is unchanged; the destructor takes
/// the part away. One owner thread at a time.
class NewFile {
  public:
    /// Error io: the folder is not there, or nothing may be written in it.
    [[nodiscard]] static base::Result<NewFile> create(const std::filesystem::path& target);
    ~NewFile();
    NewFile(NewFile&& other) noexcept;
    NewFile& operator=(NewFile&& other) noexcept;

    /// All of the bytes, at the file's position. Error io: the disk is full, a limit is reached. Further
    /// writing gives the first error again.
    [[nodiscard]] base::Result<void> write(const void* bytes, std::size_t size);
    /// As lseek(2), with its 'whence'; none where that fails.
    [[nodiscard]] std::optional<std::int64_t> seek(std::int64_t offset, int whence);
    [[nodiscard]] std::int64_t size() const;
    [[nodiscard]] const std::filesystem::path& part() const { return part_; }
    /// The first failure of write().
    [[nodiscard]] const std::optional<base::Error>& trouble() const { return trouble_; }

    /// Brings all of it to the disk, gives it its name, and brings that to the disk. Error io, and then the
    /// part is gone.
    [[nodiscard]] base::Result<void> keep();

  private:
    NewFile(std::filesystem::path target, std::filesystem::path part, int file)
        : target_(std::move(target)), part_(std::move(part)), file_(file) {}
    base::Error failed(const base::Sentence& what, int code) const;
    void drop();

    std::filesystem::path target_, part_;
    int file_ = -1;
    std::optional<base::Error> trouble_;
};

/// The bytes as a file, in one go.
[[nodiscard]] base::Result<void> write_new_file(const std::filesystem::path& target, const void* bytes,
                                                std::size_t size);

}  // namespace plumbmark::media
