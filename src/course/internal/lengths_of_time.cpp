// Lengths of time as a course setter writes them, to exact nanoseconds.
#include <fmt/format.h>

#include "course/internal/fields.h"
#include "course/internal/lengths.h"

namespace plumbmark::course::internal {
namespace {

constexpr std::int64_t kSecond = 1'000'000'000;
constexpr std::int64_t kLongest = 86'400 * kSecond;

bool ends_with(std::string_view text, std::string_view end) {
    return text.size() > end.size() && text.substr(text.size() - end.size()) == end;
}

std::optional<base::Duration> seconds(std::string_view text) {
    const base::Result<base::Duration> parsed = base::parse_seconds(std::string(text));
    return parsed ? std::optional(*parsed) : std::nullopt;
}

std::optional<base::Duration> milliseconds(std::string_view text) {
    const std::optional<base::Duration> thousandfold = seconds(text);
    if (!thousandfold || thousandfold->ns % 1000 != 0) return std::nullopt;  // finer than a nanosecond
    return base::Duration{thousandfold->ns / 1000};
}

// "2:30" or "2:30.5"
std::optional<base::Duration> minutes_and_seconds(std::string_view text, std::size_t colon) {
    const std::string_view whole = text.substr(0, colon);
    const std::string_view rest = text.substr(colon + 1);
    const bool two_digits = rest.size() >= 2 && (rest.size() == 2 || rest[2] == '.');
    if (whole.find('.') != std::string_view::npos || whole.size() > 4 || !two_digits) return std::nullopt;
    const auto minutes = seconds(whole);
    const auto within = seconds(rest);
    if (!minutes || !within || within->ns >= 60 * kSecond) return std::nullopt;
    return base::Duration{minutes->ns * 60 + within->ns};
}

std::optional<base::Duration> from_text(std::string_view text) {
    if (const auto colon = text.find(':'); colon != std::string_view::npos)
        return minutes_and_seconds(text, colon);
    if (ends_with(text, " ms")) return milliseconds(text.substr(0, text.size() - 3));
    if (ends_with(text, " s")) return seconds(text.substr(0, text.size() - 2));
    return seconds(text);
}

std::optional<base::Duration> from_node(const toml::node& node, const Document& document) {
    if (const auto text = node.value_exact<std::string>()) return from_text(*text);
    if (const auto whole = node.value_exact<std::int64_t>()) {
        const bool in_range = *whole >= 0 && *whole <= kLongest / kSecond;
        return in_range ? std::optional(base::Duration{*whole * kSecond}) : std::nullopt;
    }
    return node.is_floating_point() ? seconds(document.number_text(place_of(node))) : std::nullopt;
}

}  // namespace

std::optional<base::Duration> Fields::length_of_time(std::string_view key) const {
    const toml::node* node = find(key);
    if (node == nullptr) return std::nullopt;
    const std::optional<base::Duration> length = from_node(*node, reading_.document);
    if (length && length->ns > 0 && length->ns <= kLongest) return length;
    wrong_kind(*node, key,
               worded("a length of time above 0 and up to a day, such as 2, 0.5, \"500 ms\" or \"2:30\""));
    return std::nullopt;
}

std::string seconds_text(base::Duration length) {
    std::string text = std::to_string(length.ns / kSecond);
    if (length.ns % kSecond == 0) return text;
    std::string decimals = fmt::format("{:09}", length.ns % kSecond);
    decimals.erase(decimals.find_last_not_of('0') + 1);
    return text + "." + decimals;
}

std::string seconds_words(base::Duration length) {
    return seconds_text(length) + " s";
}

}  // namespace plumbmark::course::internal
