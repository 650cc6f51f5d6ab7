#include "store/internal/workshop.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <string>

namespace plumbmark::store {
namespace {

namespace fs = std::filesystem;

constexpr const char* kBegin = ".package-";
constexpr const char* kPattern = ".package-XXXXXX";
constexpr const char* kLock = "plumbmark-is-packing";
/// Until it is locked it has another name: a workshop with a file kLock was locked from its beginning.
constexpr const char* kLockToBe = "plumbmark-begins";

bool take_lock(int file) {
    return ::flock(file, LOCK_EX | LOCK_NB) == 0;
}

/// Locked, or -1.
int make_lock(const fs::path& folder) {
    const int file = ::open((folder / kLockToBe).c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (file < 0) return -1;
    std::error_code problem;
    if (take_lock(file)) {
        fs::rename(folder / kLockToBe, folder / kLock, problem);
        if (!problem) return file;
    }
    ::close(file);
    return -1;
}

bool own_folder(const fs::path& path) {
    struct stat facts {};
    return ::lstat(path.c_str(), &facts) == 0 && S_ISDIR(facts.st_mode) && facts.st_uid == ::geteuid();
}

/// Nothing in it but the lock and what is being made.
bool holds_a_workshop(const fs::path& folder) {
    std::error_code problem;
    for (fs::directory_iterator at(folder, problem), end; !problem && at != end; at.increment(problem)) {
        const std::string name = at->path().filename().string();
        // libzip writes beside the zip, under its name with six more characters.
        if (name != kLock && !name.starts_with("made")) return false;
    }
    return !problem;
}

bool remove_if_abandoned(const fs::path& folder) {
    if (!own_folder(folder) || !holds_a_workshop(folder)) return false;
    const int lock = ::open((folder / kLock).c_str(), O_RDWR | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
    if (lock < 0) return false;
    std::error_code problem;
    if (take_lock(lock)) fs::remove_all(folder, problem);
    const bool removed = !fs::exists(fs::symlink_status(folder, problem));
    ::close(lock);
    return removed;
}

}  // namespace

Workshop::Workshop(const fs::path& target) {
    std::string name = (target.parent_path() / kPattern).string();
    if (::mkdtemp(name.data()) == nullptr) return;
    path_ = name;
    lock_ = make_lock(path_);
}

Workshop::~Workshop() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
    if (lock_ >= 0) ::close(lock_);
}

std::vector<fs::path> remove_abandoned_workshops(const fs::path& target) {
    std::vector<fs::path> found, removed;
    std::error_code problem;
    for (fs::directory_iterator at(target.parent_path(), problem), end; !problem && at != end;
         at.increment(problem)) {
        const std::string name = at->path().filename().string();
        if (name.size() == std::string(kPattern).size() && name.starts_with(kBegin))
            found.push_back(at->path());
    }
    std::sort(found.begin(), found.end());
    std::copy_if(found.begin(), found.end(), std::back_inserter(removed), remove_if_abandoned);
    return removed;
}

}  // namespace plumbmark::store
