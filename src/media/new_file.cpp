#include "media/new_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

#include "base/worded.h"

namespace plumbmark::media {

using base::Category;
using base::Error;
using base::Result;
namespace fs = std::filesystem;

Error NewFile::failed(const base::Sentence& what, int code) const {
    return {Category::io,
            base::worded("{}: {}. Nothing is left of it, and what was there before is unchanged.", what,
                         std::generic_category().message(code)),
            target_.string()};
}

Result<NewFile> NewFile::create(const fs::path& target) {
    fs::path part = target;
    part += ".part";
    const int file = ::open(part.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0666);
    const int code = errno;
    NewFile made(target, std::move(part), file);
    if (file < 0) return made.failed(base::worded("The file cannot be made"), code);
    std::error_code ignored;
    if (fs::is_directory(target, ignored))
        return made.failed(base::worded("A file cannot take a folder's name"), EISDIR);
    return made;
}

NewFile::NewFile(NewFile&& other) noexcept
    : target_(std::move(other.target_)),
      part_(std::move(other.part_)),
      file_(std::exchange(other.file_, -1)),
      trouble_(std::move(other.trouble_)) {}

NewFile& NewFile::operator=(NewFile&& other) noexcept {
    if (this == &other) return *this;
    drop();
    target_ = std::move(other.target_);
    part_ = std::move(other.part_);
    file_ = std::exchange(other.file_, -1);
    trouble_ = std::move(other.trouble_);
    return *this;
}

NewFile::~NewFile() {
    drop();
}

void NewFile::drop() {
    if (file_ < 0) return;
    ::close(std::exchange(file_, -1));
    ::unlink(part_.c_str());
}

Result<void> NewFile::write(const void* bytes, std::size_t size) {
    const auto* at = static_cast<const char*>(bytes);
    while (size > 0 && !trouble_) {
        const ssize_t written = ::write(file_, at, size);
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) {
            trouble_ = failed(base::worded("Writing the file failed"), written < 0 ? errno : ENOSPC);
            break;
        }
        at += written;
        size -= static_cast<std::size_t>(written);
    }
    return trouble_ ? Result<void>(*trouble_) : Result<void>{};
}

std::optional<std::int64_t> NewFile::seek(std::int64_t offset, int whence) {
    const off_t place = ::lseek(file_, offset, whence);
    return place < 0 ? std::nullopt : std::optional<std::int64_t>(place);
}

std::int64_t NewFile::size() const {
    struct stat about {};
    return ::fstat(file_, &about) == 0 ? about.st_size : 0;
}

Result<void> NewFile::keep() {
    if (trouble_) {
        drop();
        return *trouble_;
    }
    // Some file systems know no fsync; then there is nothing better to do.
    if (::fsync(file_) != 0 && errno != EINVAL && errno != ENOTSUP) {
        const Error error = failed(base::worded("The file could not be brought to the disk"), errno);
        drop();
        return error;
    }
    if (::rename(part_.c_str(), target_.c_str()) != 0) {
        const Error error = failed(base::worded("The file could not be put in its place"), errno);
        drop();
        return error;
    }
    ::close(std::exchange(file_, -1));
    const fs::path folder = target_.has_parent_path() ? target_.parent_path() : fs::path(".");
    if (const int opened = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); opened >= 0) {
        (void)::fsync(opened);  // the name; the bytes are there already
        ::close(opened);
    }
    return {};
}

Result<void> write_new_file(const fs::path& target, const void* bytes, std::size_t size) {
    Result<NewFile> file = NewFile::create(target);
    if (!file) return file.error();
    if (Result<void> written = file->write(bytes, size); !written) return written;
    return file->keep();
}

}  // namespace plumbmark::media
