#include "store/internal/package_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/ascii.h"
#include "store/package.h"

namespace plumbmark::store {

using base::Category;
using base::Error;
using base::Result;

const PackageSource::Entry* PackageSource::find(const std::string& name) const {
    const auto found = std::find_if(entries_.begin(), entries_.end(),
                                    [&](const Entry& entry) { return entry.name == name; });
    return found == entries_.end() ? nullptr : &*found;
}

std::string shown_name(std::string_view name) {
    std::string shown(name.substr(0, 100));
    for (char& c : shown) {
        if (c < ' ' || c > '~') c = '?';
    }
    return "'" + shown + (name.size() > 100 ? "...'" : "'");
}

Result<void> check_entries(const std::vector<PackageSource::Entry>& entries) {
    if (entries.size() > kMostPackageFiles + 2)
        return Error{
            Category::damaged,
            fmt::format("it holds {} files, and a package has at most {}", entries.size(), kMostPackageFiles),
            ""};
    std::map<std::string, std::string> seen;
    for (const PackageSource::Entry& entry : entries) {
        const auto [other, fresh] = seen.emplace(base::ascii_lower(entry.name), entry.name);
        if (fresh) continue;
        const bool same = other->second == entry.name;
        return Error{Category::damaged,
                     same ? "it holds two files named " + shown_name(entry.name)
                          : "the names " + shown_name(other->second) + " and " + shown_name(entry.name) +
                                " differ in capitals only, and are one file on some systems",
                     ""};
    }
    return {};
}

}  // namespace plumbmark::store
