#include "cli/internal/hand_written.h"

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <tuple>

#include "base/text.h"
#include "cli/internal/first_look.h"

namespace plumbmark::cli {
namespace {

constexpr std::size_t kLongestQuoted = 60;  ///< bytes, about
constexpr std::size_t kLongestName = 200;   ///< letters

Place place_of(const toml::source_region& source) {
    return {static_cast<std::int64_t>(source.begin.line), static_cast<std::int64_t>(source.begin.column)};
}

std::string described(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::string:
            return "the text " + quoted(node.ref<std::string>());
        case toml::node_type::integer:
            return fmt::format("the number {}", node.ref<std::int64_t>());
        case toml::node_type::floating_point:
            return fmt::format("the number {}", node.ref<double>());
        case toml::node_type::boolean:
            return node.ref<bool>() ? "true" : "false";
        case toml::node_type::array:
            return node.as_array()->empty() ? "an empty list"
                                            : fmt::format("a list of {}", node.as_array()->size());
        case toml::node_type::table:
            return "a group of keys";
        default:
            return "a date or a time of day";
    }
}

/// What can be quoted of a parser that speaks to programmers.
void add_syntax(const toml::parse_error& error, Departures& departures) {
    const std::string_view words = error.description();
    const Place place = place_of(error.source());
    if (words.find("cannot redefine existing ") != std::string_view::npos)
        departures.add(place, "this is already there further up",
                       "each key once below its heading; [[place]] and [[edge]] in double brackets");
    else
        departures.add(place, fmt::format("this is not TOML ({})", words),
                       "key = value, a [heading], or text in \"quotes\"");
}

Place place_of(std::string_view text, std::size_t offset) {
    const std::string_view before = text.substr(0, offset);
    const std::size_t line_end = before.rfind('\n');
    const std::size_t begin = line_end == std::string_view::npos ? 0 : line_end + 1;
    return {std::count(before.begin(), before.end(), '\n') + 1,
            static_cast<std::int64_t>(base::code_points(before.substr(begin)).size()) + 1};
}

}  // namespace

Place place_of(const toml::node& node) {
    return place_of(node.source());
}

void Departures::add(Place place, std::string found, std::string expected, std::string suggestion) {
    all_.push_back({place, std::move(found), std::move(expected), std::move(suggestion)});
}

base::Error Departures::error(std::string_view file) const {
    constexpr std::size_t kMost = 100;
    std::vector<One> sorted = all_;
    std::stable_sort(sorted.begin(), sorted.end(), [](const One& a, const One& b) {
        return std::tie(a.place.line, a.place.column) < std::tie(b.place.line, b.place.column);
    });
    std::string lines;
    for (std::size_t i = 0; i < sorted.size() && i < kMost; ++i) {
        const One& one = sorted[i];
        if (i > 0) lines += '\n';
        lines += fmt::format("{}:{}:{}: {}; expected {}.", file, one.place.line, one.place.column, one.found,
                             one.expected);
        if (!one.suggestion.empty()) lines += fmt::format(" Did you mean '{}'?", one.suggestion);
    }
    if (sorted.size() > kMost)
        lines += fmt::format("\n{}: and {} more; mend these first.", file, sorted.size() - kMost);
    return {base::Category::bad_input, std::move(lines), {}};
}

std::optional<toml::table> parse_hand_written(std::string_view text, Departures& departures) {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (text.substr(0, 3) == kByteOrderMark) text.remove_prefix(3);
    if (const auto unfit = first_look(text)) {
        departures.add(place_of(text, unfit->offset), unfit->found, unfit->expected);
        return std::nullopt;
    }
    try {
        return toml::parse(text);
    } catch (const toml::parse_error& error) {
        add_syntax(error, departures);
    } catch (const std::exception& error) {
        departures.add({}, fmt::format("the text could not be taken in ({})", error.what()),
                       "a shorter file");
    }
    return std::nullopt;
}

std::string quoted(std::string_view text) {
    std::string shown;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        if (shown.size() >= kLongestQuoted && (byte & 0xC0U) != 0x80U) return "'" + shown + "...'";
        shown += byte < 0x20 || byte == 0x7F ? '?' : text[i];
    }
    return "'" + shown + "'";
}

bool Bounds::holds(double value) const {
    return (least_excluded ? value > least : value >= least) && value <= most;
}

std::string Bounds::words() const {
    const std::string what = *unit == '\0' ? "a number" : fmt::format("a number of {}", unit);
    return least_excluded ? fmt::format("{} over {}, at most {}", what, least, most)
                          : fmt::format("{} from {} to {}", what, least, most);
}

Fields::Fields(const toml::table& table, Place place, std::string what, std::vector<std::string> known,
               Departures& departures)
    : table_(table), place_(place), what_(std::move(what)), departures_(departures) {
    for (const auto& [key, value] : table) {
        if (std::find(known.begin(), known.end(), key.str()) != known.end()) continue;
        const std::string nearest = key.str().size() > kLongestName
                                        ? std::string()
                                        : base::nearest_name(key.str(), known).value_or("");
        if (!nearest.empty()) suggested_.push_back(nearest);
        departures_.add(place_of(key.source()),
                        fmt::format("{} is not a key of {}", quoted(key.str()), what_),
                        base::listed(known, "or"), nearest);
    }
}

Place Fields::place_of_value(std::string_view key) const {
    const toml::node* node = find(key);
    return node == nullptr ? place_ : cli::place_of(*node);
}

void Fields::missing(std::string_view key, const std::string& expected) const {
    if (std::find(suggested_.begin(), suggested_.end(), key) != suggested_.end()) return;
    departures_.add(place_, fmt::format("{} has no '{}'", what_, key), expected);
}

void Fields::wrong(std::string_view key, std::string found, std::string expected,
                   std::string suggestion) const {
    departures_.add(place_of_value(key), std::move(found), std::move(expected), std::move(suggestion));
}

std::optional<std::string> Fields::text(std::string_view key, const std::string& expected) const {
    const toml::node* node = find(key);
    if (node == nullptr) return std::nullopt;
    if (node->is_string()) return node->ref<std::string>();
    wrong(key, fmt::format("'{}' is {}", key, described(*node)), expected);
    return std::nullopt;
}

std::optional<std::string> Fields::name(std::string_view key) const {
    const std::optional<std::string> found = text(key, "a name in quotes");
    if (!found) return std::nullopt;
    const bool one_line = std::none_of(found->begin(), found->end(), [](char letter) {
        const auto byte = static_cast<unsigned char>(letter);
        return byte < 0x20 || byte == 0x7F;
    });
    if (one_line && !base::trimmed(*found).empty() && base::code_points(*found).size() <= kLongestName)
        return found;
    wrong(key, fmt::format("'{}' is {}", key, found->empty() ? "empty" : quoted(*found)),
          fmt::format("1 to {} letters on one line", kLongestName));
    return std::nullopt;
}

std::optional<double> Fields::number(std::string_view key, const Bounds& bounds) const {
    const toml::node* node = find(key);
    if (node == nullptr) return std::nullopt;
    const auto value = node->is_number() ? node->value<double>() : std::nullopt;
    if (value && bounds.holds(*value)) return value;
    wrong(key, fmt::format("'{}' is {}", key, described(*node)), bounds.words());
    return std::nullopt;
}

std::optional<std::vector<double>> Fields::numbers_of(const toml::node& node, std::string_view key,
                                                      std::size_t least, std::size_t most,
                                                      const Bounds& bounds,
                                                      const std::string& expected) const {
    const toml::array* list = node.as_array();
    if (list == nullptr || list->size() < least || list->size() > most) {
        departures_.add(cli::place_of(node), fmt::format("'{}' is {}", key, described(node)), expected);
        return std::nullopt;
    }
    std::vector<double> values;
    for (const toml::node& one : *list) {
        const auto value = one.is_number() ? one.value<double>() : std::nullopt;
        if (!value || !bounds.holds(*value)) {
            departures_.add(cli::place_of(one), fmt::format("in '{}' stands {}", key, described(one)),
                            fmt::format("{}, each {}", expected, bounds.words()));
            return std::nullopt;
        }
        values.push_back(*value);
    }
    return values;
}

std::optional<std::vector<double>> Fields::numbers(std::string_view key, std::size_t least, std::size_t most,
                                                   const Bounds& bounds, const std::string& expected) const {
    const toml::node* node = find(key);
    if (node == nullptr) return std::nullopt;
    return numbers_of(*node, key, least, most, bounds, expected);
}

std::vector<std::vector<double>> Fields::lists(std::string_view key, std::size_t most, std::size_t each,
                                               const Bounds& bounds, const std::string& expected) const {
    const toml::node* node = find(key);
    if (node == nullptr) return {};
    const toml::array* list = node->as_array();
    if (list == nullptr || list->empty() || list->size() > most) {
        wrong(key, fmt::format("'{}' is {}", key, described(*node)), expected);
        return {};
    }
    std::vector<std::vector<double>> out;
    for (const toml::node& one : *list) {
        auto values = numbers_of(one, key, each, each, bounds, expected);
        if (!values) return {};
        out.push_back(std::move(*values));
    }
    return out;
}

std::vector<const toml::table*> Fields::tables(std::string_view key, std::size_t most) const {
    const toml::node* node = find(key);
    if (node == nullptr) return {};
    const std::string expected = fmt::format("[[{}]] headings in double brackets, at most {}", key, most);
    const toml::array* list = node->as_array();
    std::vector<const toml::table*> out;
    if (list == nullptr || list->empty() || list->size() > most) {
        wrong(key, fmt::format("'{}' is {}", key, described(*node)), expected);
        return out;
    }
    for (const toml::node& one : *list) {
        if (const toml::table* table = one.as_table())
            out.push_back(table);
        else
            departures_.add(cli::place_of(one), fmt::format("in '{}' stands {}", key, described(one)),
                            expected);
    }
    return out;
}

}  // namespace plumbmark::cli
