// One language's texts, read from a message catalogue in GNU gettext's binary format.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/internal/plural_rule.h"
#include "base/result.h"

namespace plumbmark::base {

/// Immutable once read; any thread.
class MessageFile {
  public:
    /// 'bytes' must outlive it: texts are not copied. Entries whose placeholders do not fit the English are
    /// left out. Errors: damaged (no catalogue, or cut off).
    [[nodiscard]] static Result<MessageFile> read(std::string_view bytes);

    /// Null where there is none. 'context' may be null.
    [[nodiscard]] const char* find(const char* context, std::string_view english) const;
    [[nodiscard]] const char* find_count(std::string_view one, std::uint64_t n) const;

    [[nodiscard]] std::size_t size() const { return texts_.size(); }
    /// How many entries were left out for their placeholders.
    [[nodiscard]] std::size_t misfits() const { return misfits_; }

  private:
    void add(std::string_view key, std::string_view texts);

    std::unordered_map<std::string_view, std::vector<const char*>> texts_;  ///< by the English, all forms
    PluralRule rule_;
    std::size_t misfits_ = 0;
};

}  // namespace plumbmark::base
