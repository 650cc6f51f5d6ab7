// A package that lies in a folder.
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

#include "store/internal/package_source.h"
#include "store/package.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
namespace fs = std::filesystem;

constexpr int kDeepest = 8;

class Folder : public PackageSource {
  public:
    explicit Folder(fs::path root) : root_(std::move(root)) {}

    Result<void> look_through() {
        if (Result<void> looked = look_into(root_, "", 0); !looked) return looked;
        // The order that a file system lists files in differs from one to the next.
        std::sort(entries_.begin(), entries_.end(),
                  [](const Entry& a, const Entry& b) { return a.name < b.name; });
        return check_entries(entries_);
    }

    Result<std::string> read(const Entry& entry) override {
        const fs::path path = root_ / entry.name;
        const int file = ::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
        if (file < 0)
            return Error{Category::io, std::string("the file cannot be opened: ") + std::strerror(errno),
                         path.string()};
        Result<std::string> bytes = read_all(file, entry.size, path);
        ::close(file);
        return bytes;
    }

  private:
    static Result<std::string> read_all(int file, std::uint64_t size, const fs::path& path) {
        struct stat facts {};
        if (::fstat(file, &facts) != 0 || !S_ISREG(facts.st_mode))
            return Error{Category::damaged, "this is no plain file", path.string()};
        std::string bytes(size, '\0');
        std::size_t done = 0;
        while (done < bytes.size()) {
            const ssize_t got = ::read(file, bytes.data() + done, bytes.size() - done);
            if (got < 0 && errno == EINTR) continue;
            if (got < 0)
                return Error{Category::io, std::string("reading failed: ") + std::strerror(errno),
                             path.string()};
            if (got == 0) break;
            done += static_cast<std::size_t>(got);
        }
        bytes.resize(done);
        return bytes;
    }

    Result<void> look_into(const fs::path& folder, const std::string& before, int depth) {
        std::error_code problem;
        for (fs::directory_iterator at(folder, problem), end; !problem && at != end; at.increment(problem)) {
            const std::string name = before + at->path().filename().string();
            std::error_code unknown;
            const fs::file_type type = at->symlink_status(unknown).type();
            if (unknown) return Error{Category::io, unknown.message(), at->path().string()};
            if (type == fs::file_type::directory) {
                if (depth + 1 >= kDeepest)
                    return Error{Category::damaged, "its folders are nested deeper than a package's",
                                 at->path().string()};
                if (Result<void> looked = look_into(at->path(), name + "/", depth + 1); !looked)
                    return looked;
                continue;
            }
            if (type != fs::file_type::regular)
                return Error{Category::damaged,
                             shown_name(name) + " is a link or a device; a package holds plain files only",
                             root_.string()};
            const std::uintmax_t size = fs::file_size(at->path(), unknown);
            if (unknown) return Error{Category::io, unknown.message(), at->path().string()};
            entries_.push_back({name, size});
            if (entries_.size() > kMostPackageFiles + 2) return check_entries(entries_);
        }
        if (problem) return Error{Category::io, problem.message(), folder.string()};
        return {};
    }

    fs::path root_;
};

}  // namespace

Result<std::unique_ptr<PackageSource>> open_folder(const fs::path& path) {
    auto folder = std::make_unique<Folder>(path);
    if (Result<void> looked = folder->look_through(); !looked) return looked.error();
    return std::unique_ptr<PackageSource>(std::move(folder));
}

}  // namespace plumbmark::store
