// A package in a zip (libzip). What a hostile zip can do is looked at before libzip is asked for any file.
#include "store/internal/package_zip.h"

#include <fmt/format.h>
#include <sys/stat.h>
#include <zip.h>

#include <fstream>

#include "store/internal/package_source.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
namespace fs = std::filesystem;

/// The end of the list of files, with the longest comment that may follow it (APPNOTE 6.3.10, 4.3.16).
constexpr std::size_t kLongestTail = 22 + 65'535;
/// Compressed, with room for the names: a zip that is larger holds no package.
constexpr std::uint64_t kLargestZip = kLargestPackage + (16U << 20U);
/// 2026-01-01 00:00, as DOS counts it: a zip says when its files were changed, and a package need not.
constexpr zip_uint16_t kDosDate = (2026 - 1980) << 9 | 1 << 5 | 1;

struct CloseZip {
    void operator()(zip_t* zip) const { zip_discard(zip); }
};
using Zip = std::unique_ptr<zip_t, CloseZip>;
struct CloseFile {
    void operator()(zip_file_t* file) const { zip_fclose(file); }
};

std::string words_of(zip_error_t& error) {
    std::string words = zip_error_strerror(&error);
    zip_error_fini(&error);
    return words;
}

Error broken(const std::string& what) {
    return {Category::damaged, what, ""};
}

// Packages stay below what the old form can say. The long form lets a small file claim billions of files.
Result<void> check_tail(std::string_view tail) {
    for (std::size_t at = tail.find("PK\5\6"); at != std::string_view::npos;
         at = tail.find("PK\5\6", at + 1)) {
        if (at >= 20 && tail.substr(at - 20, 4) == "PK\6\7")
            return broken("it is a zip of the long form (zip64), which no package needs");
        if (at + 12 > tail.size()) break;
        const auto count =
            static_cast<unsigned char>(tail[at + 10]) + 256U * static_cast<unsigned char>(tail[at + 11]);
        if (count > 2 * kMostPackageFiles + 2)
            return broken(
                fmt::format("it lists {} files, and a package has at most {}", count, kMostPackageFiles));
    }
    return {};
}

class ZipSource : public PackageSource {
  public:
    Result<void> open(zip_source_t* source) {
        zip_error_t error;
        zip_error_init(&error);
        zip_.reset(zip_open_from_source(source, ZIP_RDONLY | ZIP_CHECKCONS, &error));
        if (!zip_) {
            zip_source_free(source);
            return broken("it is no zip that can be read: " + words_of(error));
        }
        zip_error_fini(&error);
        const zip_int64_t count = zip_get_num_entries(zip_.get(), 0);
        for (zip_int64_t i = 0; i < count; ++i) {
            if (Result<void> looked = look_at(static_cast<zip_uint64_t>(i)); !looked) return looked;
        }
        return check_entries(entries_);
    }

    Result<std::string> read(const Entry& entry) override {
        const zip_uint64_t index = places_.at(static_cast<std::size_t>(&entry - entries_.data()));
        const std::unique_ptr<zip_file_t, CloseFile> file(zip_fopen_index(zip_.get(), index, 0));
        if (!file) return broken(shown_name(entry.name) + " cannot be read: " + zip_strerror(zip_.get()));
        // One more than it says: then its end, and with it its check sum, is reached and looked at.
        std::string bytes(entry.size + 1, '\0');
        std::size_t done = 0;
        while (done < bytes.size()) {
            const zip_int64_t got = zip_fread(file.get(), bytes.data() + done, bytes.size() - done);
            if (got < 0)
                return broken(shown_name(entry.name) +
                              " cannot be read: " + zip_error_strerror(zip_file_get_error(file.get())));
            if (got == 0) break;
            done += static_cast<std::size_t>(got);
        }
        if (done > entry.size) return broken(shown_name(entry.name) + " is longer than the zip says");
        bytes.resize(done);
        return bytes;
    }

  private:
    Result<void> look_at(zip_uint64_t index) {
        zip_stat_t facts;
        if (zip_stat_index(zip_.get(), index, ZIP_FL_ENC_RAW, &facts) != 0 || facts.name == nullptr)
            return broken("it lists a file that cannot be looked at");
        const std::string name = facts.name;
        const bool folder = !name.empty() && name.back() == '/';
        if (!good_package_path(folder ? name.substr(0, name.size() - 1) : name))
            return broken("it holds a file named " + shown_name(name) + ", and no package does");
        zip_uint8_t system = 0;
        zip_uint32_t attributes = 0;
        (void)zip_file_get_external_attributes(zip_.get(), index, 0, &system, &attributes);
        const mode_t mode = attributes >> 16U;
        // Whatever system it says it is from: those that do not know these bits leave them 0.
        if ((mode & S_IFMT) != 0 && !S_ISREG(mode) && !(folder && S_ISDIR(mode)))
            return broken(shown_name(name) + " is a link or a device; a package holds plain files only");
        if (facts.encryption_method != ZIP_EM_NONE) return broken(shown_name(name) + " is encrypted");
        if (facts.comp_method != ZIP_CM_STORE && facts.comp_method != ZIP_CM_DEFLATE)
            return broken(shown_name(name) + " is compressed in a way that no package uses");
        if (folder && facts.size == 0) return {};
        places_.push_back(index);
        entries_.push_back({name, facts.size});
        return {};
    }

    Zip zip_;
    std::vector<zip_uint64_t> places_;  // in the zip, of each of entries_
};

Result<std::unique_ptr<PackageSource>> opened(zip_source_t* source) {
    if (source == nullptr) return Error{Category::io, "the zip cannot be opened", ""};
    auto zip = std::make_unique<ZipSource>();
    if (Result<void> open = zip->open(source); !open) return open.error();
    return std::unique_ptr<PackageSource>(std::move(zip));
}

Result<std::string> tail_of(const fs::path& path) {
    std::ifstream file(path, std::ios::binary | std::ios::ate);
    const std::streamoff size = file.tellg();
    if (!file || size < 0) return Error{Category::io, "the file cannot be read", path.string()};
    if (static_cast<std::uint64_t>(size) > kLargestZip)
        return Error{Category::damaged, "the file is larger than any package", path.string()};
    std::string tail(std::min<std::size_t>(static_cast<std::size_t>(size), kLongestTail + 20), '\0');
    file.seekg(-static_cast<std::streamoff>(tail.size()), std::ios::end);
    file.read(tail.data(), static_cast<std::streamsize>(tail.size()));
    if (!file) return Error{Category::io, "reading the file failed", path.string()};
    return tail;
}

}  // namespace

Result<std::unique_ptr<PackageSource>> open_zip(const fs::path& path) {
    const Result<std::string> tail = tail_of(path);
    if (!tail) return tail.error();
    if (Result<void> good = check_tail(*tail); !good) return good.error();
    return opened(zip_source_file_create(path.c_str(), 0, -1, nullptr));
}

Result<std::unique_ptr<PackageSource>> open_zip_bytes(std::string_view bytes) {
    if (Result<void> good = check_tail(bytes); !good) return good.error();
    return opened(zip_source_buffer_create(bytes.data(), bytes.size(), 0, nullptr));
}

Result<void> write_zip(const fs::path& path, const std::vector<PackageFile>& files) {
    int code = 0;
    Zip zip(zip_open(path.c_str(), ZIP_CREATE | ZIP_EXCL, &code));
    const auto failed = [&](const std::string& why) {
        return Error{Category::io, "The package cannot be written: " + why + ".", path.string()};
    };
    if (!zip) {
        zip_error_t error;
        zip_error_init_with_code(&error, code);
        return failed(words_of(error));
    }
    for (const PackageFile& file : files) {
        zip_source_t* source = zip_source_buffer(zip.get(), file.bytes.data(), file.bytes.size(), 0);
        const zip_int64_t index =
            source == nullptr ? -1 : zip_file_add(zip.get(), file.path.c_str(), source, ZIP_FL_ENC_UTF_8);
        if (index < 0) {
            if (source != nullptr) zip_source_free(source);
            return failed(zip_strerror(zip.get()));
        }
        const auto place = static_cast<zip_uint64_t>(index);
        const bool packed = file.path.ends_with(".png");  // gains nothing
        if (zip_set_file_compression(zip.get(), place, packed ? ZIP_CM_STORE : ZIP_CM_DEFLATE, 0) != 0 ||
            zip_file_set_dostime(zip.get(), place, 0, kDosDate, 0) != 0 ||
            zip_file_set_external_attributes(zip.get(), place, 0, ZIP_OPSYS_UNIX, (S_IFREG | 0644U) << 16U) !=
                0)
            return failed(zip_strerror(zip.get()));
    }
    if (zip_close(zip.get()) != 0) return failed(zip_strerror(zip.get()));
    (void)zip.release();  // zip_close has freed it
    return {};
}

}  // namespace plumbmark::store
