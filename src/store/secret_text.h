// A passphrase in memory: wiped when it goes, never copied.
#pragma once

#include <string>
#include <string_view>
#include <utility>

#include "store/signing.h"

namespace plumbmark::store {

/// UTF-8 of at most kLongest bytes. Its memory is taken once, so that no copy stays behind as it grows; it is
/// wiped when the text goes or moves away. Move only.
class SecretText {
  public:
    static constexpr std::size_t kLongest = 1'023;

    SecretText() { text_.reserve(kLongest + 1); }
    explicit SecretText(std::string_view text) : SecretText() { text_ = text.substr(0, kLongest); }
    SecretText(SecretText&& other) noexcept : text_(std::exchange(other.text_, {})) {}
    SecretText& operator=(SecretText&& other) noexcept {
        if (this == &other) return *this;
        wipe(text_);
        text_ = std::exchange(other.text_, {});
        return *this;
    }
    SecretText(const SecretText&) = delete;
    SecretText& operator=(const SecretText&) = delete;
    ~SecretText() { wipe(text_); }

    [[nodiscard]] const std::string& text() const { return text_; }
    [[nodiscard]] bool empty() const { return text_.empty(); }
    /// Characters, which is what a person counts.
    [[nodiscard]] std::size_t length() const;
    /// A typed character; false: there is no more room, and it was not taken.
    bool append(char32_t character);
    /// The last character goes.
    void take_back();
    void clear() {
        wipe(text_);
        text_.reserve(kLongest + 1);
    }
    friend bool operator==(const SecretText& a, const SecretText& b) { return a.text_ == b.text_; }

  private:
    std::string text_;
};

}  // namespace plumbmark::store
