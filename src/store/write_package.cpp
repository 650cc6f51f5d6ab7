#include <fmt/format.h>

#include <algorithm>
#include <fstream>

#include "base/check.h"
#include "store/internal/manifest.h"
#include "store/internal/package_zip.h"
#include "store/internal/workshop.h"
#include "store/meet_file.h"
#include "store/package.h"

namespace plumbmark::store {
namespace {

using base::Category;
using base::Error;
using base::Result;
namespace fs = std::filesystem;

Error failed(const fs::path& path, const std::string& why) {
    return {Category::io, "The package cannot be written: " + why + ". Nothing is left of it.",
            path.string()};
}

Result<void> write_plain(const fs::path& path, const std::string& bytes) {
    std::error_code problem;
    fs::create_directories(path.parent_path(), problem);
    if (problem) return failed(path, problem.message());
    std::ofstream file(path, std::ios::binary);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    file.close();
    if (!file) return failed(path, "is the disk full, or the folder read-only?");
    return {};
}

Error stopped(const fs::path& out) {
    return {Category::cancelled, "Writing the package was stopped. Nothing is left of it.", out.string()};
}

Result<void> write_folder(const fs::path& folder, const std::vector<PackageFile>& files,
                          const std::stop_token& stop) {
    for (const PackageFile& file : files) {
        if (stop.stop_requested()) return stopped(folder);
        if (Result<void> written = write_plain(folder / file.path, file.bytes); !written) return written;
    }
    return {};
}

Result<void> check_size(const std::vector<PackageFile>& files) {
    std::uint64_t all = 0;
    for (const PackageFile& file : files) {
        if (file.bytes.size() > kLargestPackageFile)
            return Error{Category::bad_input,
                         fmt::format("{} has over {} MiB, too much for a package.", file.path,
                                     kLargestPackageFile >> 20U),
                         ""};
        all += file.bytes.size();
    }
    if (all <= kLargestPackage && files.size() <= kMostPackageFiles) return {};
    return Error{Category::bad_input,
                 fmt::format("The package would have {} files of {} MiB; it may have {} of {} MiB.",
                             files.size(), all >> 20U, kMostPackageFiles, kLargestPackage >> 20U),
                 ""};
}

}  // namespace

bool good_package_path(std::string_view path) {
    if (path.empty() || path.size() > 120 || std::count(path.begin(), path.end(), '/') > 2) return false;
    const auto plain = [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); };
    for (std::size_t begin = 0; begin <= path.size();) {
        const std::size_t end = std::min(path.find('/', begin), path.size());
        const std::string_view step = path.substr(begin, end - begin);
        if (step.empty() || !plain(step.front()) || step.back() == '.') return false;
        for (const char c : step) {
            if (!plain(c) && c != '.' && c != '_' && c != '-') return false;
        }
        begin = end + 1;
    }
    return true;
}

Result<void> write_package(const fs::path& out, const PackageFacts& facts, std::vector<PackageFile> files,
                           const SecretKey& key, const std::stop_token& stop) {
    PLUMBMARK_CHECK(facts.public_key == key.public_key());
    files.push_back({kPublicKeyPath, key_pem(facts.public_key)});
    std::sort(files.begin(), files.end(),
              [](const PackageFile& a, const PackageFile& b) { return a.path < b.path; });
    for (std::size_t i = 0; i < files.size(); ++i) {
        const std::string& path = files[i].path;
        PLUMBMARK_CHECK(good_package_path(path) && path != kManifestPath && path != kSignaturePath);
        PLUMBMARK_CHECK(i == 0 || files[i - 1].path != path);
    }
    if (Result<void> good = check_size(files); !good) return good;
    const fs::path target = fs::absolute(out).lexically_normal();
    std::error_code problem;
    if (fs::exists(fs::symlink_status(target, problem)))
        return Error{Category::io, "There is something of this name already; choose another.", out.string()};
    const std::string manifest = manifest_text(facts, files);
    const auto signature = bytes_of_hex(key.sign(manifest));
    files.insert(files.begin(), {{kManifestPath, manifest}, {kSignaturePath, *signature}});
    const Workshop workshop(target);
    if (!workshop.open()) return failed(out, "nothing can be made in that folder");
    const fs::path made = workshop.made();
    Result<void> written =
        target.extension() == ".zip" ? write_zip(made, files) : write_folder(made, files, stop);
    if (!written) return written;
    if (stop.stop_requested()) return stopped(out);
    fs::rename(made, target, problem);
    if (problem) return failed(out, problem.message());
    return {};
}

std::vector<fs::path> remove_package_leftovers(const fs::path& out) {
    return remove_abandoned_workshops(fs::absolute(out).lexically_normal());
}

}  // namespace plumbmark::store
