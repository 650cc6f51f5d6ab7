#include "store/crash_rounds/places.h"

#include <fcntl.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <string>

namespace plumbmark::test {

Places::Places() {
    // In a name space of mounts of its own, so that nothing is left where the program is killed.
    mounted_ = ::geteuid() == 0 && ::unshare(CLONE_NEWNS) == 0 &&
               ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
               ::mount("none", mount_point_.path().c_str(), "tmpfs", 0, "size=4m,mode=0755") == 0;
}

Places::~Places() {
    if (mounted_) ::umount2(mount_point_.path().c_str(), MNT_DETACH);
}

std::filesystem::path Places::memory() const {
    return std::filesystem::exists("/dev/shm") ? std::filesystem::path("/dev/shm") : disk();
}

std::optional<std::filesystem::path> Places::small() const {
    return mounted_ ? std::optional(mount_point_.path()) : std::nullopt;
}

void Places::fill_small(std::int64_t bytes) const {
    struct statvfs room {};
    if (::statvfs(mount_point_.path().c_str(), &room) != 0) return;
    const auto free = static_cast<std::int64_t>(room.f_bavail * room.f_bsize);
    const int ballast = ::open((mount_point_ / "ballast").c_str(), O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
    if (ballast < 0) return;
    const std::string block(4096, 'x');
    for (std::int64_t left = std::max<std::int64_t>(0, free - bytes); left >= 4096; left -= 4096) {
        if (::write(ballast, block.data(), block.size()) < 0) break;
    }
    ::close(ballast);
}

void Places::empty_small() const {
    std::error_code ignored;
    std::filesystem::remove(mount_point_ / "ballast", ignored);
}

}  // namespace plumbmark::test
