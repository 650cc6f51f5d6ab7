// TOML that a person writes by hand: typed access to a table's values, with every departure told with its
// place.
#pragma once

#include <toml++/toml.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace plumbmark::cli {

struct Place {
    std::int64_t line = 1, column = 1;
};
[[nodiscard]] Place place_of(const toml::node& node);

/// What is wrong in a file, collected while it is read.
class Departures {
  public:
    void add(Place place, std::string found, std::string expected, std::string suggestion = {});
    [[nodiscard]] bool none() const { return all_.empty(); }
    /// All of them in the order of the file, each on its own line with the file's name in front.
    [[nodiscard]] base::Error error(std::string_view file) const;

  private:
    struct One {
        Place place;
        std::string found, expected, suggestion;
    };
    std::vector<One> all_;
};

/// Nothing, and what is wrong with it as TOML, where it is none. Any bytes are allowed (first_look.h).
[[nodiscard]] std::optional<toml::table> parse_hand_written(std::string_view text, Departures& departures);

/// 'text' in single quotes, on one line.
[[nodiscard]] std::string quoted(std::string_view text);

/// What a number may be.
struct Bounds {
    double least = 0, most = 0;
    bool least_excluded = false;
    const char* unit = "";  ///< "pixels"; empty: a bare number
    [[nodiscard]] bool holds(double value) const;
    [[nodiscard]] std::string words() const;  ///< "a number of pixels over 0, at most 1000"
};

/// One table of the file. Every method tells what is wrong, and gives nothing then; what is missing is told
/// by 'missing' alone.
class Fields {
  public:
    /// Tells every key that is not among 'known'. 'what' is how messages call it: "the place 'buoy'".
    Fields(const toml::table& table, Place place, std::string what, std::vector<std::string> known,
           Departures& departures);

    [[nodiscard]] const toml::node* find(std::string_view key) const { return table_.get(key); }
    [[nodiscard]] bool has(std::string_view key) const { return find(key) != nullptr; }
    [[nodiscard]] Place place() const { return place_; }
    /// Where the key's value stands; the table's place where it is not there.
    [[nodiscard]] Place place_of_value(std::string_view key) const;

    /// 1 to 200 letters on one line.
    [[nodiscard]] std::optional<std::string> name(std::string_view key) const;
    [[nodiscard]] std::optional<std::string> text(std::string_view key, const std::string& expected) const;
    [[nodiscard]] std::optional<double> number(std::string_view key, const Bounds& bounds) const;
    /// From 'least' to 'most' numbers in a list.
    [[nodiscard]] std::optional<std::vector<double>> numbers(std::string_view key, std::size_t least,
                                                             std::size_t most, const Bounds& bounds,
                                                             const std::string& expected) const;
    /// Lists of 'each' numbers in a list; empty where it is missing or wrong.
    [[nodiscard]] std::vector<std::vector<double>> lists(std::string_view key, std::size_t most,
                                                         std::size_t each, const Bounds& bounds,
                                                         const std::string& expected) const;
    /// The tables below [[key]] headings.
    [[nodiscard]] std::vector<const toml::table*> tables(std::string_view key, std::size_t most) const;

    void missing(std::string_view key, const std::string& expected) const;
    void wrong(std::string_view key, std::string found, std::string expected,
               std::string suggestion = {}) const;

  private:
    std::optional<std::vector<double>> numbers_of(const toml::node& node, std::string_view key,
                                                  std::size_t least, std::size_t most, const Bounds& bounds,
                                                  const std::string& expected) const;

    const toml::table& table_;
    Place place_;
    std::string what_;
    Departures& departures_;
    std::vector<std::string> suggested_;  ///< known keys that a misspelt one probably meant
};

}  // namespace plumbmark::cli
