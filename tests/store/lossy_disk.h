// A disk in memory that SQLite can be pointed at. What was written and not synced is lost, torn or reordered
// when the power is cut, as on a real one; writes can be made to fail.
#pragma once

#include <cstdint>
#include <memory>
#include <random>
#include <string>

namespace plumbmark::test {

/// Registers itself with SQLite under name() while it lives. One disk at a time may be in use by several
/// connections.
class LossyDisk {
  public:
    LossyDisk();
    LossyDisk(const LossyDisk&) = delete;
    LossyDisk& operator=(const LossyDisk&) = delete;
    ~LossyDisk();

    [[nodiscard]] const std::string& name() const;

    /// Puts a file there as a whole, synced.
    void put(const std::string& path, const std::string& bytes);

    /// Operations that reached the disk so far: writes, truncations, syncs, creations and deletions.
    [[nodiscard]] std::int64_t operations() const;

    /// From now on the disk takes 'operations' more and is then dead: everything fails, nothing changes.
    void cut_power_after(std::int64_t operations);
    [[nodiscard]] bool dead() const;

    /// What a machine finds when it comes up again. Of each write that was not synced any of its 512-byte
    /// pieces may be there, in any combination; file names that were made or removed since the folder was
    /// last synced may be as before or as after. Handles that are still open must be closed first.
    void come_up_again(std::mt19937_64& random);

    enum class Failing { nothing, writes, syncs, deletions, creations };
    /// After 'after' more operations of that sort they all fail with this SQLite code, until called with
    /// 'nothing'.
    void fail(Failing what, std::int64_t after, int code);

    /// A disk that says it has synced and has not: for showing that the tests would notice.
    void lie_about_syncing(bool lie);

    struct State;

  private:
    std::unique_ptr<State> state_;
};

}  // namespace plumbmark::test
