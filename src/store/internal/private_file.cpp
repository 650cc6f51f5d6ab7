#include "store/internal/private_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "base/worded.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
using base::worded;
namespace fs = std::filesystem;

class Descriptor {
  public:
    explicit Descriptor(int number) : number_(number) {}
    ~Descriptor() { (void)close(); }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;

    [[nodiscard]] bool good() const { return number_ >= 0; }
    [[nodiscard]] int number() const { return number_; }
    [[nodiscard]] bool close() {
        const bool closed = number_ < 0 || ::close(number_) == 0;
        number_ = -1;
        return closed;
    }

  private:
    int number_;
};

/// 'errno' says why.
Error failed(const fs::path& path, const char* what) {
    return {Category::io,
            worded("{}: {}. Nothing was changed.", base::looked_up_word(what), std::strerror(errno)),
            path.string()};
}

bool write_all(int file, const std::string& bytes) {
    for (std::size_t done = 0; done < bytes.size();) {
        const ssize_t written = ::write(file, bytes.data() + done, bytes.size() - done);
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) return false;
        done += static_cast<std::size_t>(written);
    }
    return true;
}

Result<void> write_beside(const fs::path& beside, const std::string& bytes) {
    Descriptor file(::open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600));
    if (!file.good()) return failed(beside, base::to_translate("the file cannot be made"));
    if (!write_all(file.number(), bytes) || ::fsync(file.number()) != 0 || !file.close())
        return failed(beside, base::to_translate("writing the file failed"));
    return {};
}

}  // namespace

Result<void> make_private_folder(const fs::path& folder) {
    std::error_code problem;
    if (fs::is_directory(folder, problem)) return {};
    if (folder.has_parent_path() && folder.parent_path() != folder) {
        if (Result<void> above = make_private_folder(folder.parent_path()); !above) return above;
    }
    if (::mkdir(folder.c_str(), 0700) == 0 || errno == EEXIST) return {};
    return failed(folder, base::to_translate("the folder cannot be made"));
}

Result<void> write_private_file(const fs::path& path, const std::string& bytes) {
    const fs::path beside = path.string() + ".part";
    std::error_code ignored;
    fs::remove(beside, ignored);  // left by a program that was stopped half way
    Result<void> written = write_beside(beside, bytes);
    // A link, not a renaming: it never takes the place of a file that is there.
    if (written && ::link(beside.c_str(), path.c_str()) != 0)
        written = failed(path, base::to_translate("the file cannot be put in its place"));
    fs::remove(beside, ignored);
    if (!written) return written;
    const Descriptor folder(::open(path.parent_path().c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!folder.good() || ::fsync(folder.number()) != 0)
        return failed(path, base::to_translate("the folder cannot be synced"));
    return {};
}

Result<std::string> read_private_file(const fs::path& path, std::size_t most) {
    const Descriptor file(::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
    if (!file.good() && errno == ENOENT)
        return Error{Category::not_found, worded("The secret key is not on this machine."), path.string()};
    if (!file.good()) return failed(path, base::to_translate("the file cannot be opened"));
    struct stat facts {};
    if (::fstat(file.number(), &facts) != 0)
        return failed(path, base::to_translate("the file cannot be looked at"));
    if (!S_ISREG(facts.st_mode))
        return Error{Category::bad_input, worded("This is no plain file."), path.string()};
    if ((facts.st_mode & (S_IRWXG | S_IRWXO)) != 0)
        return Error{
            Category::bad_input,
            worded("Others on this machine may read this key's file. Take that away (chmod 600), and think "
                   "of replacing the key."),
            path.string()};
    std::string bytes(most + 1, '\0');
    std::size_t size = 0;
    while (size < bytes.size()) {
        const ssize_t got = ::read(file.number(), bytes.data() + size, bytes.size() - size);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return failed(path, base::to_translate("reading the file failed"));
        if (got == 0) break;
        size += static_cast<std::size_t>(got);
    }
    if (size > most)
        return Error{Category::damaged, worded("the file is far too large for a key"), path.string()};
    bytes.resize(size);
    return bytes;
}

}  // namespace plumbmark::store
