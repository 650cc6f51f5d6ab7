// Reads from a drive that may not answer, on a thread that can be left behind.
#pragma once

#include <unistd.h>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <stop_token>
#include <vector>

namespace plumbmark::media {

/// A file descriptor, closed with the last owner.
struct OpenFile {
    explicit OpenFile(int opened) : descriptor(opened) {}
    ~OpenFile() { ::close(descriptor); }
    OpenFile(const OpenFile&) = delete;
    OpenFile& operator=(const OpenFile&) = delete;
    const int descriptor;
};

/// One owner thread. The system cannot be asked to give up a read of a file, so the wait is given up instead:
/// the thread that hangs in the drive keeps what it needs alive and ends when the drive answers. While bytes
/// are asked for one after the other, the thread reads ahead in growing blocks, at most 1 MiB.
class PatientRead {
  public:
    struct Outcome {
        std::size_t size = 0;  ///< bytes copied, 0 at the end of the file
        int error = 0;         ///< errno, 0 for none
        bool stopped = false;
    };

    explicit PatientRead(std::shared_ptr<const OpenFile> file);
    ~PatientRead();
    PatientRead(const PatientRead&) = delete;
    PatientRead& operator=(const PatientRead&) = delete;

    /// Bytes at 'offset' that were read already; 0 for none. Never waits.
    std::size_t kept(std::int64_t offset, std::span<std::uint8_t> into) const;
    /// Up to into.size() bytes from 'offset' on.
    Outcome read(std::int64_t offset, std::span<std::uint8_t> into, const std::stop_token& stop);

  private:
    struct Block {
        std::int64_t offset = 0;
        std::vector<std::uint8_t> bytes;  // size() as large as was ever wanted
        std::size_t filled = 0;
        int error = 0;
        [[nodiscard]] std::int64_t end() const { return offset + static_cast<std::int64_t>(filled); }
    };
    struct Shared;
    bool start();
    void leave();
    void ask(std::int64_t offset, std::size_t wanted);

    std::shared_ptr<const OpenFile> file_;
    std::shared_ptr<Shared> shared_;  // null until the first read, and after a thread was left behind
    Block block_;                     // what was read last
    std::size_t stride_ = 0;          // bytes to ask for next
};

}  // namespace plumbmark::media
