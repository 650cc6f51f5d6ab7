// The folder in which a package is made until it is whole.
#pragma once

#include <filesystem>
#include <vector>

namespace plumbmark::store {

/// A hidden folder beside the target; it goes with this object, and with whatever is in it. While the object
/// lives it holds a lock on a file in the folder, so that one whose program was killed can be told from one
/// that is being worked in. Not for use by two threads at once.
class Workshop {
  public:
    explicit Workshop(const std::filesystem::path& target);
    ~Workshop();
    Workshop(const Workshop&) = delete;
    Workshop& operator=(const Workshop&) = delete;

    /// Whether it could be made.
    [[nodiscard]] bool open() const { return lock_ >= 0; }
    /// Where the package is to be made: in the folder, not there yet.
    [[nodiscard]] std::filesystem::path made() const { return path_ / "made"; }

  private:
    std::filesystem::path path_;
    int lock_ = -1;
};

/// Removes the workshops beside the target whose program is gone: folders of that name that are this user's,
/// that hold the lock's file, nothing but what a workshop has, and whose lock nobody holds. Gives those that
/// were removed. What cannot be told for certain stays.
std::vector<std::filesystem::path> remove_abandoned_workshops(const std::filesystem::path& target);

}  // namespace plumbmark::store
