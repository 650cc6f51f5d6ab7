#include "media/clip_bytes.h"

#include <fcntl.h>
#include <linux/magic.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <sys/vfs.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "media/internal/container.h"
#include "media/internal/patient_call.h"
#include "media/internal/patient_read.h"

namespace plumbmark::media {
namespace {

using base::Category;

ByteMark mark_of(const struct stat& facts) {
    constexpr std::int64_t second = 1'000'000'000;
    return {facts.st_size, facts.st_mtim.tv_sec * second + facts.st_mtim.tv_nsec,
            static_cast<std::uint64_t>(facts.st_dev), static_cast<std::uint64_t>(facts.st_ino)};
}

// A file system in memory has no drive to wait for, and does not know the question.
bool lies_in_memory(int descriptor) {
    struct statfs facts {};
    return ::fstatfs(descriptor, &facts) == 0 && (facts.f_type == TMPFS_MAGIC || facts.f_type == RAMFS_MAGIC);
}

base::Error stopped(const std::filesystem::path& path) {
    return clip_error(Category::cancelled,
                      base::worded("Opening the clip was stopped: its drive has not answered."), path);
}

base::Error open_error(int code, const std::filesystem::path& path) {
    if (code == ENOENT || code == ENOTDIR) {
        return clip_error(Category::not_found,
                          base::worded("There is no such file. Check the name, and that its drive is there."),
                          path);
    }
    if (code == EACCES || code == EPERM) {
        return clip_error(Category::io,
                          base::worded("The file may not be read. Ask for the right to read it."), path);
    }
    return clip_error(Category::io,
                      base::worded("The file cannot be opened ({}). Check its drive.",
                                   std::generic_category().message(code)),
                      path);
}

class FileBytes final : public ClipBytes {
  public:
    FileBytes(std::shared_ptr<const OpenFile> file, ByteMark mark, bool in_memory, std::filesystem::path path)
        : file_(std::move(file)),
          mark_(mark),
          path_(std::move(path)),
          in_memory_(in_memory),
          waiting_(file_) {}

    base::Result<std::size_t> read(std::int64_t offset, std::span<std::uint8_t> into,
                                   const std::stop_token& stop) override {
        if (const std::size_t size = waiting_.kept(offset, into)) return size;
        if (auto at_once = read_without_waiting(offset, into)) return *at_once;
        const PatientRead::Outcome outcome = waiting_.read(offset, into, stop);
        if (outcome.stopped)
            return clip_error(Category::cancelled, base::worded("Reading the clip was stopped."), path_);
        if (outcome.error == 0) return outcome.size;
        return clip_error(
            Category::io,
            base::worded("The file cannot be read at byte {} ({}). Check its drive and cable, then "
                         "try again.",
                         offset, std::generic_category().message(outcome.error)),
            path_);
    }

    const ByteMark& mark() const override { return mark_; }

    base::Result<ByteMark> look(const std::stop_token& stop) const override {
        const auto answer = call_patiently(
            [path = path_] {
                struct stat facts {};
                const int error = ::stat(path.c_str(), &facts) == 0 ? 0 : errno;
                return std::pair(error, mark_of(facts));
            },
            {stop});
        if (!answer) return stopped(path_);
        if (answer->first != 0) return open_error(answer->first, path_);
        return answer->second;
    }

  private:
    // Nothing where the answer would have to be waited for, or is an error to be met again while waiting.
    std::optional<std::size_t> read_without_waiting(std::int64_t offset, std::span<std::uint8_t> into) {
        if (!at_once_) return std::nullopt;
        const iovec target{into.data(), into.size()};
        const ssize_t got = ::preadv2(file_->descriptor, &target, 1, offset, in_memory_ ? 0 : RWF_NOWAIT);
        if (got >= 0) return static_cast<std::size_t>(got);
        if (errno == EOPNOTSUPP || errno == EINVAL || errno == ENOSYS) at_once_ = false;
        return std::nullopt;
    }

    std::shared_ptr<const OpenFile> file_;
    ByteMark mark_;
    std::filesystem::path path_;
    bool in_memory_;
    bool at_once_ = true;  // the file system can say what lies in memory
    PatientRead waiting_;
};

/// What the system says when a file is opened.
struct Opened {
    int error = 0;  ///< errno, 0 for none
    std::shared_ptr<const OpenFile> file;
    struct stat facts {};
    bool in_memory = false;
};

Opened open_at_system(const std::filesystem::path& path) {
    Opened made;
    // Without O_NONBLOCK a pipe that nobody writes to would hold the thread here.
    const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (descriptor >= 0) {
        made.file = std::make_shared<const OpenFile>(descriptor);
        if (::fstat(descriptor, &made.facts) == 0) {
            made.in_memory = lies_in_memory(descriptor);
            return made;
        }
    }
    made.error = errno;
    return made;
}

}  // namespace

base::Result<std::unique_ptr<ClipBytes>> open_file_bytes(const std::filesystem::path& path,
                                                         const std::stop_token& stop) {
    auto opened = call_patiently([path] { return open_at_system(path); }, {stop});
    if (!opened) return stopped(path);
    if (opened->error != 0) return open_error(opened->error, path);
    if (S_ISDIR(opened->facts.st_mode)) {
        return clip_error(Category::bad_input,
                          base::worded("This is a folder, not a clip. Name one video file inside it."), path);
    }
    if (!S_ISREG(opened->facts.st_mode)) {
        return clip_error(
            Category::bad_input,
            base::worded("This is a pipe or a device, not a file. Copy the clip into a file first."), path);
    }
    if (opened->facts.st_size == 0) {
        return clip_error(Category::damaged,
                          base::worded("The file is empty. Copy it again from the camera."), path);
    }
    return std::unique_ptr<ClipBytes>(std::make_unique<FileBytes>(
        std::move(opened->file), mark_of(opened->facts), opened->in_memory, path));
}

std::optional<std::filesystem::file_type> type_of_file(const std::filesystem::path& path,
                                                       const Patience& patience) {
    return call_patiently(
        [path] {
            std::error_code ignored;  // what cannot be looked at is of no type
            return std::filesystem::status(path, ignored).type();
        },
        patience);
}

std::optional<base::Error> what_changed(const ByteMark& then, const base::Result<ByteMark>& now,
                                        const std::filesystem::path& path) {
    if (!now) {
        if (now.error().category != Category::not_found) return now.error();
        return clip_error(
            Category::not_found,
            base::worded("The file is no longer there: its drive was taken out, or it was moved or deleted. "
                         "Put it back and go on."),
            path);
    }
    if (now->device != then.device || now->file != then.file) {
        return clip_error(
            Category::io,
            base::worded(
                "The file has changed: another one stands in its place since it was opened. Open it again."),
            path);
    }
    if (now->size < then.size) {
        return clip_error(
            Category::damaged,
            base::worded("The file has changed: it was cut short since it was opened (it had {} "
                         "bytes and now has {}). Copy it again from the camera, under the same name.",
                         then.size, now->size),
            path);
    }
    if (*now != then) {
        return clip_error(
            Category::io,
            base::worded("The file has changed: it was written to since it was opened. Open it again."),
            path);
    }
    return std::nullopt;
}

}  // namespace plumbmark::media
