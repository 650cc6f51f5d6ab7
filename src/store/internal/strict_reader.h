// Reading JSON objects strictly: every member is expected, every value has its kind, every error names its
// path.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "store/internal/json_text.h"

namespace plumbmark::store {

/// Thrown while a text is read and turned into a Result at the module's border: the readers nest, and each
/// level would only hand the error on.
struct ReadProblem {
    base::Error error;
};

/// Sentence and place as one, to stand in another sentence.
[[nodiscard]] inline base::Sentence whole_of(const base::Error& error) {
    return {error.text(), error.spoken()};
}

/// Throws ReadProblem (bad_input) for the value at this path ("marks[3].part"), or in this place of a file.
[[noreturn]] void fail_at(const base::Sentence& path, const base::Sentence& sentence);
/// "table mark_event, id 12": a place in a meet file.
[[nodiscard]] base::Sentence row_place(std::string_view table, std::string_view id);

/// "path.name", or the name alone at the top.
[[nodiscard]] std::string member_path(const std::string& path, const std::string& name);
[[nodiscard]] std::string item_path(const std::string& path, std::size_t index);

/// The members of one object. All functions throw ReadProblem.
class Members {
  public:
    /// 'known' are the members that may stand here; another one is an error that names the nearest of them.
    Members(const Json& value, std::string path, std::initializer_list<std::string_view> known);
    Members(const Json& value, std::string path, const std::vector<std::string>& known);

    [[nodiscard]] bool has(const std::string& name) const { return object_.contains(name); }
    [[nodiscard]] std::string path_of(const std::string& name) const { return member_path(path_, name); }
    [[nodiscard]] const std::string& path() const { return path_; }

    [[nodiscard]] const Json& required(const std::string& name) const;
    [[nodiscard]] std::string text(const std::string& name) const;
    [[nodiscard]] bool flag(const std::string& name) const;
    /// Between 0 and 2^53 - 1.
    [[nodiscard]] std::int64_t whole_number(const std::string& name) const;
    /// A 64-bit integer written as a text of decimal digits, since JSON numbers are doubles.
    [[nodiscard]] std::int64_t long_number(const std::string& name) const;
    [[nodiscard]] const Json& list(const std::string& name) const;

  private:
    [[noreturn]] void refuse(const std::string& name, const std::vector<std::string>& known) const;

    const Json& object_;
    std::string path_;
};

[[nodiscard]] std::string read_text(const Json& value, const std::string& path);
[[nodiscard]] std::int64_t read_whole_number(const Json& value, const std::string& path);
[[nodiscard]] double read_number(const Json& value, const std::string& path);
[[nodiscard]] const Json& read_list(const Json& value, const std::string& path);

}  // namespace plumbmark::store
