// One program at a time writes to a meet file.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"

namespace plumbmark::store {

/// Holds "<file>-lock" beside the meet file, locked (flock), until it is destroyed; then removes it. The
/// system lets go of the lock when a program ends in whatever way, so a lock file that is left behind stops
/// nobody. It is a file of its own because closing any handle of the meet file itself would drop the locks
/// that SQLite holds on it (fcntl(2)).
class WriteLock {
  public:
    /// Errors: busy (another program, or another part of this one, has it), io (the folder cannot be
    /// written).
    [[nodiscard]] static base::Result<WriteLock> take(const std::filesystem::path& file);

    WriteLock(WriteLock&& other) noexcept;
    WriteLock& operator=(WriteLock&& other) noexcept;
    ~WriteLock();

  private:
    WriteLock(int handle, std::string name) : handle_(handle), name_(std::move(name)) {}
    int handle_ = -1;
    std::string name_;
};

}  // namespace plumbmark::store
