// Sealed packages: some files, a manifest that names each with its size and SHA-256, and a signature over the
// manifest, as a folder or a zip (docs/ruling-package.md). What is in the files is the caller's.
#pragma once

#include <cstdint>
#include <filesystem>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "meet/record.h"
#include "store/signing.h"

namespace plumbmark::store {

inline constexpr const char* kManifestPath = "manifest.json";
inline constexpr const char* kSignaturePath = "manifest.sig";
inline constexpr const char* kPublicKeyPath = "key.pem";

/// Beyond these a package was made to break its reader.
inline constexpr std::size_t kMostPackageFiles = 1'000;
inline constexpr std::uint64_t kLargestPackageFile = 128U << 20U;
inline constexpr std::uint64_t kLargestPackage = 512U << 20U;  ///< all its files together
inline constexpr std::uint64_t kLargestManifest = 1U << 20U;

struct PackageFile {
    std::string path;  ///< good_package_path()
    std::string bytes;
    friend bool operator==(const PackageFile&, const PackageFile&) = default;
};

/// What the manifest says beside the files.
struct PackageFacts {
    std::string meet;        ///< MeetFile::identity()
    std::int64_t row = 0;    ///< the journal row as of which it was made
    std::string row_sha256;  ///< of that row
    std::string public_key;  ///< of the key that signs
    std::string holder;      ///< of that key; may be empty
    meet::Capacity capacity = meet::Capacity::head_judge;
    meet::WallTime made_at;
    friend bool operator==(const PackageFacts&, const PackageFacts&) = default;
};

/// Whether a file of a package may be named so: at most three steps of a-z, 0-9, '.', '_' and '-', each
/// beginning with a letter or digit and not ending with '.', 120 bytes in all. So no name leads out of a
/// folder, is hidden, or is two names on a system that knows no capitals. Pure.
[[nodiscard]] bool good_package_path(std::string_view path);

/// Writes a package: a zip where the name ends in ".zip", else a folder. It is made beside and put in its
/// place when it is whole; what is there is never written over. 'key' is that of facts.public_key. key.pem is
/// added. The same input gives the same bytes. The program stops for a path that is not good, or that comes
/// twice. Errors: io, cancelled (both with what was begun removed), bad_input (too large).
[[nodiscard]] base::Result<void> write_package(const std::filesystem::path& out, const PackageFacts& facts,
                                               std::vector<PackageFile> files, const SecretKey& key,
                                               const std::stop_token& stop = {});

/// Removes what programs that were killed while they wrote a package left where 'out' is to be: hidden
/// folders, of this user, that are known by the lock in them which nobody holds any more. Gives those that
/// were removed. One that another program is working in, and whatever cannot be told for certain, stays. Any
/// thread.
[[nodiscard]] std::vector<std::filesystem::path> remove_package_leftovers(const std::filesystem::path& out);

/// A package, held against its manifest.
struct PackageReading {
    PackageFacts facts;              ///< as far as the manifest can be read
    std::vector<PackageFile> files;  ///< those that are as the manifest says, by path
    /// Every way in which it is not as it was signed, a sentence each that names the file: changed, missing,
    /// in no manifest, or the signature. Empty: each byte is as it was signed by facts.public_key.
    std::vector<std::string> problems;
};

/// Whether there is a package of either form, or something that claims to be: a folder, or a zip. Looks at
/// few bytes.
[[nodiscard]] bool looks_like_package(const std::filesystem::path& path);

/// Reads a package of either form. Nothing is unpacked to the disk, and nothing is read that the manifest
/// does not name, or beyond the size that it names. Errors: not_found; damaged (what cannot be a package:
/// links, devices, names that come twice or differ in capitals only, names that lead elsewhere, more files or
/// bytes than a package has, a broken or encrypted zip; the sentence names the file); bad_input (no
/// manifest); io.
[[nodiscard]] base::Result<PackageReading> read_package(const std::filesystem::path& path);
/// The same from the bytes of a zip. Any bytes are allowed.
[[nodiscard]] base::Result<PackageReading> read_package_bytes(std::string_view zip);

}  // namespace plumbmark::store
