// Where a package's files come from: what is there is listed first, then read by name and known size.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace plumbmark::store {

class PackageSource {
  public:
    struct Entry {
        std::string name;
        std::uint64_t size = 0;
    };
    virtual ~PackageSource() = default;

    [[nodiscard]] const std::vector<Entry>& entries() const { return entries_; }
    [[nodiscard]] const Entry* find(const std::string& name) const;
    /// All bytes of an entry; fewer where it was cut off, never more than its size. Error damaged or io.
    [[nodiscard]] virtual base::Result<std::string> read(const Entry& entry) = 0;

  protected:
    std::vector<Entry> entries_;
};

/// Errors as read_package. 'name' is for messages.
[[nodiscard]] base::Result<std::unique_ptr<PackageSource>> open_folder(const std::filesystem::path& path);
[[nodiscard]] base::Result<std::unique_ptr<PackageSource>> open_zip(const std::filesystem::path& path);
[[nodiscard]] base::Result<std::unique_ptr<PackageSource>> open_zip_bytes(std::string_view bytes);

/// A name as a message can show it: what is not plain ASCII becomes '?', and it is cut to 100 characters.
[[nodiscard]] std::string shown_name(std::string_view name);

/// Refuses names that come twice, or that differ in capitals only, and more files than a package has.
[[nodiscard]] base::Result<void> check_entries(const std::vector<PackageSource::Entry>& entries);

}  // namespace plumbmark::store
