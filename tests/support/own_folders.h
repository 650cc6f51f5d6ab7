// A person's own folders, set aside: what the desk keeps of a person is in a folder of the test meanwhile.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace plumbmark::test {

class OwnFolders {
  public:
    explicit OwnFolders(const std::filesystem::path& folder) {
        for (const char* name : {"XDG_CONFIG_HOME", "XDG_STATE_HOME"}) {
            const char* now = std::getenv(name);
            before_.emplace_back(name, now ? std::optional<std::string>(now) : std::nullopt);
            ::setenv(name, (folder / name).c_str(), 1);
        }
    }
    OwnFolders(const OwnFolders&) = delete;
    OwnFolders& operator=(const OwnFolders&) = delete;
    ~OwnFolders() {
        for (const auto& [name, value] : before_)
            value ? ::setenv(name, value->c_str(), 1) : ::unsetenv(name);
    }

  private:
    std::vector<std::pair<const char*, std::optional<std::string>>> before_;
};

}  // namespace plumbmark::test
