// What lies in a folder, by name.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace plumbmark::test {

/// In the order in which the system tells them.
inline std::vector<std::string> names_in(const std::filesystem::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    return names;
}

}  // namespace plumbmark::test
