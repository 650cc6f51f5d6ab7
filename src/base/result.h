// Ordinary outcomes as values: a result is either a value or an Error that a person can read.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <variant>

#include "base/check.h"
#include "base/sentence.h"

namespace plumbmark::base {

/// What kind of thing went wrong. The command line maps these to its exit codes (docs/command-line.md).
enum class Category {
    bad_input,      ///< a file or an argument does not say what it should
    not_found,      ///< a named thing does not exist
    io,             ///< reading or writing failed (disk full, no permission, device gone)
    damaged,        ///< a file is cut off or corrupt
    unsupported,    ///< understood, but this build cannot do it
    contradiction,  ///< marks that cannot all be true
    too_tangled,    ///< a review beyond the stated budget of the ruling engine
    cancelled,      ///< the person asked to stop
    busy,           ///< another program holds the file
};

/// An error a person can act on: what is wrong, where, and what to do. Who makes one says it with 'worded'
/// (base/worded.h), so that a window can show it in its own language.
struct Error {
    Category category = Category::bad_input;
    Sentence sentence;  ///< what is wrong and what to do, one or two sentences, no trailing newline
    Sentence where;     ///< file, line, frame, row ...: empty where the sentence already says it

    /// "where: sentence", or the sentence alone; English.
    [[nodiscard]] std::string text() const {
        return where.empty() ? sentence.english() : where.english() + ": " + sentence.english();
    }
    /// The same in the language in which it was made, for a window.
    [[nodiscard]] std::string spoken() const {
        return where.empty() ? sentence.spoken() : where.spoken() + ": " + sentence.spoken();
    }
    friend bool operator==(const Error&, const Error&) = default;
};

/// Either a T or an Error. Reading the value of a failed result stops the program (it is a mistake of ours).
template <class T>
class [[nodiscard]] Result {
  public:
    Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
    Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}

    [[nodiscard]] bool ok() const { return state_.index() == 0; }
    explicit operator bool() const { return ok(); }

    [[nodiscard]] T& value() & { return PLUMBMARK_CHECK(ok()), std::get<0>(state_); }
    [[nodiscard]] const T& value() const& { return PLUMBMARK_CHECK(ok()), std::get<0>(state_); }
    [[nodiscard]] T&& value() && { return PLUMBMARK_CHECK(ok()), std::get<0>(std::move(state_)); }
    T& operator*() & { return value(); }
    const T& operator*() const& { return value(); }
    T&& operator*() && { return std::move(*this).value(); }
    T* operator->() { return &value(); }
    const T* operator->() const { return &value(); }

    [[nodiscard]] const Error& error() const { return PLUMBMARK_CHECK(!ok()), std::get<1>(state_); }

  private:
    std::variant<T, Error> state_;
};

/// Success, or an Error.
template <>
class [[nodiscard]] Result<void> {
  public:
    Result() = default;
    Result(Error error) : error_(std::move(error)) {}
    [[nodiscard]] bool ok() const { return !error_; }
    explicit operator bool() const { return ok(); }
    [[nodiscard]] const Error& error() const { return PLUMBMARK_CHECK(!ok()), *error_; }

  private:
    std::optional<Error> error_;
};

}  // namespace plumbmark::base
