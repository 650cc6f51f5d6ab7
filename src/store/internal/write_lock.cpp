#include "store/internal/write_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

#include "base/worded.h"

namespace plumbmark::store {
namespace {

base::Error cannot_lock(const std::filesystem::path& file, int problem) {
    const std::string folder = file.parent_path().string();
    return {base::Category::io,
            base::worded("the folder {} cannot be written ({}); move the meet file to a folder that can, or "
                         "open it for reading only",
                         folder, std::generic_category().message(problem)),
            file.string()};
}

base::Error in_use(const std::filesystem::path& file) {
    return {
        base::Category::busy,
        base::worded("another program has this meet file open for writing; close it there, or open it here "
                     "for reading only"),
        file.string()};
}

// Whoever had the lock before may have removed the file between our opening and locking it; then what we hold
// is a file that nobody else will find.
bool still_named(int handle, const std::string& name) {
    struct stat held {};
    struct stat named {};
    return fstat(handle, &held) == 0 && stat(name.c_str(), &named) == 0 && held.st_ino == named.st_ino &&
           held.st_dev == named.st_dev;
}

}  // namespace

base::Result<WriteLock> WriteLock::take(const std::filesystem::path& file) {
    std::error_code unresolved;
    const std::filesystem::path real = std::filesystem::weakly_canonical(file, unresolved);
    const std::string name = (unresolved ? file : real).string() + "-lock";
    while (true) {
        const int handle = ::open(name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644);
        if (handle < 0) return cannot_lock(file, errno);
        WriteLock lock(handle, name);
        if (flock(handle, LOCK_EX | LOCK_NB) != 0) {
            const int problem = errno;
            lock.name_.clear();  // not ours to remove
            return problem == EWOULDBLOCK ? in_use(file) : cannot_lock(file, problem);
        }
        if (still_named(handle, name)) return lock;
        lock.name_.clear();
    }
}

WriteLock::WriteLock(WriteLock&& other) noexcept
    : handle_(std::exchange(other.handle_, -1)), name_(std::exchange(other.name_, {})) {}

WriteLock& WriteLock::operator=(WriteLock&& other) noexcept {
    std::swap(handle_, other.handle_);
    std::swap(name_, other.name_);
    return *this;
}

WriteLock::~WriteLock() {
    if (handle_ < 0) return;
    if (!name_.empty()) ::unlink(name_.c_str());
    ::close(handle_);
}

}  // namespace plumbmark::store
