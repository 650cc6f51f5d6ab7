// Where the rounds keep their files: a disk, memory, and a file system that is soon full.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

#include "support/temporary_folder.h"

namespace plumbmark::test {

class Places {
  public:
    /// Where it may, it mounts a small file system of its own, which nobody else sees and which goes with the
    /// program.
    Places();
    Places(const Places&) = delete;
    Places& operator=(const Places&) = delete;
    ~Places();

    [[nodiscard]] std::filesystem::path disk() const { return std::filesystem::temp_directory_path(); }
    /// A folder in memory, where a sync costs nothing; the disk where there is none.
    [[nodiscard]] std::filesystem::path memory() const;
    /// A file system of a few megabytes; none where it cannot be mounted.
    [[nodiscard]] std::optional<std::filesystem::path> small() const;

    /// Fills the small file system up to 'bytes' that are left.
    void fill_small(std::int64_t bytes) const;
    void empty_small() const;

  private:
    TemporaryFolder mount_point_;
    bool mounted_ = false;
};

}  // namespace plumbmark::test
