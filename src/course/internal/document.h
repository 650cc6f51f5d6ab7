// The text of a course book as a TOML table whose values know where they stand. The one place that deals with
// differences between releases of the TOML library.
#pragma once

#include <toml++/toml.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "course/internal/problems.h"

namespace plumbmark::course::internal {

class Document {
  public:
    /// Parses the text, or adds what is wrong with it as TOML. The text must outlive the document.
    [[nodiscard]] static std::optional<Document> parse(std::string_view text, Problems& problems);

    [[nodiscard]] const toml::table& root() const { return root_; }
    /// The number that begins at this place as it was written, without underscores: TOML's floats go through
    /// doubles, and a hold of 0.1 s would no longer be what the setter wrote.
    [[nodiscard]] std::string number_text(Place place) const;

  private:
    toml::table root_;
    std::vector<std::string_view> lines_;
};

[[nodiscard]] Place place_of(const toml::node& node);
[[nodiscard]] Place place_of(const toml::key& key);

/// A table's keys and values in the order in which they were written.
struct Entry {
    std::string_view key;
    Place key_place;
    const toml::node* value;
};
[[nodiscard]] std::vector<Entry> in_written_order(const toml::table& table);

}  // namespace plumbmark::course::internal
