// The program that writes, as the rounds see it: started, listened to, and killed.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace plumbmark::test {

struct ChildOptions {
    std::uint64_t seed = 0;
    std::int64_t depth = 1;          ///< changes under way at once
    std::vector<std::string> fault;  ///< word, operations before it, operations that fail; empty: none
    bool as_ordinary_user = false;   ///< where we are the superuser, who may write anywhere
    std::optional<std::uint64_t> largest_file;  ///< bytes; a write beyond fails
};

class Child {
  public:
    Child(const std::filesystem::path& file, const ChildOptions& options);
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;
    ~Child();  ///< kills it where kill() was not called

    /// Listens until 'enough' is true; false: the program ended, or half a minute went by.
    [[nodiscard]] bool wait_until(const std::function<bool()>& enough);
    /// Listens for so long.
    void wait_for(std::chrono::microseconds time);

    void lift_size_limit() const;

    /// Kills it and takes in what it had said. False: it had ended by itself; ending() says how.
    [[nodiscard]] bool kill();
    [[nodiscard]] const std::string& ending() const { return ending_; }

    [[nodiscard]] std::int64_t confirmed() const { return confirmed_; }  ///< -1: it has said nothing yet
    [[nodiscard]] int failures() const { return failures_; }
    [[nodiscard]] const std::string& last_failure() const { return last_failure_; }

  private:
    bool take(int patience_ms);
    void take_line(const std::string& line);

    pid_t process_ = -1;
    int said_ = -1;
    std::string begun_;  ///< a line that is not ended yet
    std::int64_t confirmed_ = -1;
    int failures_ = 0;
    std::string last_failure_;
    std::string ending_;
};

}  // namespace plumbmark::test
