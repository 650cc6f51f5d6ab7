// A folder of its own for one test, gone afterwards.
#pragma once

#include <filesystem>
#include <random>
#include <string>

namespace plumbmark::test {

class Scratch {
  public:
    Scratch() {
        std::random_device source;
        folder_ = std::filesystem::temp_directory_path() /
                  ("plumbmark-" + std::to_string(source()) + "-" + std::to_string(source()));
        std::filesystem::create_directories(folder_);
    }
    ~Scratch() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }
    [[nodiscard]] std::filesystem::path operator/(const std::string& name) const { return folder_ / name; }

  private:
    std::filesystem::path folder_;
};

}  // namespace plumbmark::test
