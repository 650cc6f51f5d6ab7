#include <fmt/format.h>

#include <fstream>
#include <set>

#include "base/worded.h"
#include "store/internal/manifest.h"
#include "store/internal/package_source.h"
#include "store/meet_file.h"
#include "store/package.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
namespace fs = std::filesystem;

constexpr std::uint64_t kSignatureBytes = 64;

class Reader {
  public:
    explicit Reader(PackageSource& source) : source_(source) {}

    Result<PackageReading> read() {
        const Result<std::string> text = read_manifest_text();
        if (!text) return text.error();
        const Result<Manifest> manifest = read_manifest(*text);
        if (!manifest) {
            problem(kManifestPath, base::worded("cannot be read, so nothing else can be held against it: {}",
                                                manifest.error().sentence));
            return std::move(reading_);
        }
        reading_.facts = manifest->facts;
        check_signature(*text);
        for (const ManifestLine& line : manifest->files)
            check_file(line);
        find_extra(*manifest);
        return std::move(reading_);
    }

  private:
    void problem(const std::string& file, const std::string& what) {
        reading_.problems.push_back(file + ": " + what);
    }

    Result<std::string> read_manifest_text() {
        const PackageSource::Entry* entry = source_.find(kManifestPath);
        if (entry == nullptr)
            return Error{Category::bad_input,
                         "There is no manifest.json in it, so this is no sealed package.", ""};
        if (entry->size > kLargestManifest)
            return Error{Category::damaged, "its manifest.json is far too large", ""};
        return source_.read(*entry);
    }

    void check_signature(const std::string& manifest) {
        const PackageSource::Entry* entry = source_.find(kSignaturePath);
        if (entry == nullptr) return problem(kSignaturePath, "missing: nobody vouches for this package");
        if (entry->size != kSignatureBytes)
            return problem(kSignaturePath, fmt::format("changed: a signature has {} bytes", kSignatureBytes));
        const Result<std::string> signature = source_.read(*entry);
        if (!signature)
            return problem(kSignaturePath, base::worded("changed: {}", signature.error().sentence));
        if (!is_signed(reading_.facts.public_key, manifest, hex_of(*signature)))
            problem(
                kSignaturePath,
                "not the signature of manifest.json by the key that it names: one of the two was changed");
    }

    void check_file(const ManifestLine& line) {
        const PackageSource::Entry* entry = source_.find(line.path);
        if (entry == nullptr) return problem(line.path, "missing");
        if (entry->size != line.size)
            return problem(line.path,
                           fmt::format("changed: it has {} bytes and had {}", entry->size, line.size));
        Result<std::string> bytes = source_.read(*entry);
        if (!bytes) return problem(line.path, base::worded("changed: {}", bytes.error().sentence));
        if (sha256_hex(*bytes) != line.sha256)
            return problem(line.path, "changed: its SHA-256 is not the one of the manifest");
        if (line.path == kPublicKeyPath && *bytes != key_pem(reading_.facts.public_key))
            return problem(line.path, "holds another key than the manifest names");
        reading_.files.push_back({line.path, std::move(*bytes)});
    }

    void find_extra(const Manifest& manifest) {
        std::set<std::string> known{kManifestPath, kSignaturePath};
        for (const ManifestLine& line : manifest.files)
            known.insert(line.path);
        for (const PackageSource::Entry& entry : source_.entries()) {
            if (!known.contains(entry.name))
                problem(shown_name(entry.name), "in the package, and the manifest does not name it");
        }
    }

    PackageSource& source_;
    PackageReading reading_;
};

Result<PackageReading> read_from(Result<std::unique_ptr<PackageSource>> source) {
    if (!source) return source.error();
    return Reader(**source).read();
}

bool is_zip(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::string begin(4, '\0');
    file.read(begin.data(), 4);
    return file && (begin == "PK\3\4" || begin == "PK\5\6");
}

}  // namespace

bool looks_like_package(const fs::path& path) {
    std::error_code ignored;
    return fs::is_directory(path, ignored) || is_zip(path);
}

Result<PackageReading> read_package(const fs::path& path) {
    std::error_code problem;
    const fs::file_status status = fs::status(path, problem);
    if (!fs::exists(status))
        return Error{Category::not_found, "There is no such file or folder.", path.string()};
    Result<PackageReading> reading = read_from(fs::is_directory(status) ? open_folder(path) : open_zip(path));
    if (!reading && reading.error().where.empty())
        return Error{reading.error().category, reading.error().sentence, path.string()};
    return reading;
}

Result<PackageReading> read_package_bytes(std::string_view zip) {
    return read_from(open_zip_bytes(zip));
}

}  // namespace plumbmark::store
