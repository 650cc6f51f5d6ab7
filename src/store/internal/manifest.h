// The manifest of a sealed package as text (docs/ruling-package.md).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "store/package.h"

namespace plumbmark::store {

struct ManifestLine {
    std::string path;
    std::uint64_t size = 0;
    std::string sha256;
};

struct Manifest {
    PackageFacts facts;
    std::vector<ManifestLine> files;  ///< ascending by path
};

/// Canonical JSON (RFC 8785). 'files' ascending by path, without the manifest and its signature.
[[nodiscard]] std::string manifest_text(const PackageFacts& facts, const std::vector<PackageFile>& files);

/// Reads one. Error damaged names the member. Any bytes are allowed.
[[nodiscard]] base::Result<Manifest> read_manifest(const std::string& text);

}  // namespace plumbmark::store
