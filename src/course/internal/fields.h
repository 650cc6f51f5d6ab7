// One table of a course book while it is read: typed access to its values, every departure told with its
// place.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "base/time.h"
#include "course/internal/document.h"
#include "course/internal/problems.h"
#include "course/internal/vocabulary.h"

namespace plumbmark::course::internal {

/// What the whole reading shares: the text, the problems so far, and the book as far as it is known.
struct Reading {
    const Document& document;
    Problems& problems;
    CourseBook& book;
};

/// "the text 'abc'", "the number 1.5", "true", "a list", "a table" ...: a value as it is told in a message.
[[nodiscard]] Sentence described(const toml::node& node, const Document& document);

/// Where a list of names was written, value by value.
struct PlacedText {
    std::string text;
    Place place;
};

class Fields {
  public:
    /// Tells every key of the table that is not among 'known'. 'what' is how messages call it: "station
    /// 'hop'".
    Fields(const toml::table& table, Place place, Sentence what, std::span<const std::string_view> known,
           Reading& reading);

    [[nodiscard]] const toml::node* find(std::string_view key) const { return table_.get(key); }
    [[nodiscard]] bool has(std::string_view key) const { return find(key) != nullptr; }
    [[nodiscard]] Place place() const { return place_; }
    [[nodiscard]] const Sentence& what() const { return what_; }
    [[nodiscard]] Reading& reading() const { return reading_; }

    /// A name for people: 1 to 200 letters of any script on one line. Missing or wrong: told, and "".
    [[nodiscard]] std::string name(std::string_view key, std::string_view example) const;
    /// A key that marks will use (see good_key). Missing or wrong: told, and "".
    [[nodiscard]] std::string own_key(std::string_view example) const;
    [[nodiscard]] bool truth(std::string_view key, bool otherwise) const;
    [[nodiscard]] std::int32_t whole_number(std::string_view key, std::int32_t least, std::int32_t most,
                                            std::int32_t otherwise) const;
    /// More than zero, at most a day; exact (see docs/course-book.md, 'Lengths of time').
    [[nodiscard]] std::optional<base::Duration> length_of_time(std::string_view key) const;
    /// One text or a list of texts without repeats, each with its place. Empty where it is missing or wrong
    /// (told).
    [[nodiscard]] std::vector<PlacedText> texts(std::string_view key, const Sentence& expected) const;
    [[nodiscard]] PartSet parts(std::string_view key, PartSet otherwise) const;

    template <class Value, std::size_t N>
    [[nodiscard]] Value choice(std::string_view key, const std::array<Word<Value>, N>& words,
                               Value otherwise) const {
        const toml::node* node = find(key);
        if (node == nullptr) return otherwise;
        const std::vector<std::string> known = words_of(words);
        const std::optional<std::string> word = text_at(*node, key, one_of(known));
        if (!word) return otherwise;
        const std::optional<Value> value = value_of(*word, words);
        if (!value) wrong_word(place_of(*node), *word, known);
        return value.value_or(otherwise);
    }

    /// The surfaces or the one surface that the key names, in play allowed. Unknown ones are told and left
    /// out.
    [[nodiscard]] std::vector<SurfaceId> surfaces(std::string_view key) const;
    [[nodiscard]] SurfaceId surface(std::string_view key) const;
    [[nodiscard]] PlaneId plane(std::string_view key) const;

    /// The tables of an array of tables ([[key]] or key = [{...}, ...]); anything else is told.
    [[nodiscard]] std::vector<const toml::table*> tables(std::string_view key, std::size_t most,
                                                         const Sentence& expected) const;
    [[nodiscard]] const toml::table* table(std::string_view key, const Sentence& expected) const;

    /// Tells that the key is missing, unless a misspelt key was already told to be it.
    void missing(std::string_view key, Sentence expected) const;
    void wrong_kind(const toml::node& node, std::string_view key, Sentence expected) const;
    void problem(Place place, Sentence found, Sentence expected, std::string suggestion = {}) const;

  private:
    static Sentence one_of(const std::vector<std::string>& words);
    std::optional<std::string> text_at(const toml::node& node, std::string_view key, Sentence expected) const;
    void wrong_word(Place place, std::string_view word, const std::vector<std::string>& known) const;
    std::optional<PartSet> parts_of(const toml::node& node, std::string_view key) const;

    const toml::table& table_;
    Place place_;
    Sentence what_;
    Reading& reading_;
    std::vector<std::string> suggested_;  // known keys that a misspelt one probably meant
};

/// Letters, digits, '_' and '-' of any script, at most 64: what a key of a surface, plane, station ... may
/// be.
[[nodiscard]] bool good_key(std::string_view key);
/// One line of 1 to 200 letters of any script, not blank.
[[nodiscard]] bool good_name(std::string_view name);

/// The surface with this key as a station may use it, or a told problem and an invalid id.
[[nodiscard]] SurfaceId usable_surface(std::string_view key, Place place, Reading& reading);
[[nodiscard]] PlaneId declared_plane(std::string_view key, Place place, Reading& reading);

}  // namespace plumbmark::course::internal
