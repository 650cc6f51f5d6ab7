#include "course/internal/document.h"

#include <algorithm>
#include <exception>
#include <tuple>

#include "base/catalogue.h"

namespace plumbmark::course::internal {
namespace {

Place place_of(const toml::source_region& source) {
    return {static_cast<std::int32_t>(source.begin.line), static_cast<std::int32_t>(source.begin.column)};
}

struct Rewording {
    std::string_view sign;  // words of the library by which the mistake is known
    const char* found;
    const char* expected;
};

// The library speaks to programmers; a course setter needs to hear what to write. Tried from the top.
constexpr Rewording kRewordings[] = {
    {"parsing table header: expected ']'", base::to_translate("this heading is not closed"),
     base::to_translate("']' at its end, as in [surfaces]")},
    {"unescaped control characters", base::to_translate("a text is not closed on its line"),
     base::to_translate("a closing quotation mark")},
    {"parsing string: encountered end-of-file", base::to_translate("a text is not closed"),
     base::to_translate("a closing quotation mark")},
    {"unknown escape sequence", base::to_translate("a backslash in a text begins no known character"),
     base::to_translate("two backslashes for one, or the text in 'single quotes'")},
    {"parsing array", base::to_translate("this list is not written to its end"),
     base::to_translate("values with commas between them, and ']' at the end")},
    {"parsing inline table", base::to_translate("these braces are not written to their end"),
     base::to_translate("key = value pairs with commas between them, all on one line, and '}' at the end")},
    {"expected '='", base::to_translate("a key without '='"),
     base::to_translate("key = value; a key with spaces stands in \"quotes\"")},
    {"expected value", base::to_translate("a key without a value"), base::to_translate("a value after '='")},
    {"could not determine value type",
     base::to_translate("a value that is neither text, number, true, false, list nor table"),
     base::to_translate("text in \"quotes\"")},
    {"parsing boolean", base::to_translate("a word without quotes"),
     base::to_translate("text in \"quotes\", or true or false")},
    {"leading zeroes", base::to_translate("a number with a leading zero"),
     base::to_translate("a number such as 1 or 0.5")},
    {"parsing floating-point", base::to_translate("a number that cannot be read"),
     base::to_translate("a number such as 1 or 0.5")},
    {"not representable", base::to_translate("a number that is too large"),
     base::to_translate("a number such as 1 or 0.5")},
    {"expected a comment or whitespace", base::to_translate("more than one value on this line"),
     base::to_translate("one key = value on each line; text in \"quotes\"")},
    {"expected keys, tables, whitespace or comments",
     base::to_translate("a line that begins with neither a key nor a heading"),
     base::to_translate("key = value, or a [heading]")},
};

void add_syntax_problem(const toml::parse_error& error, Problems& problems) {
    const std::string_view words = error.description();
    const Place place = place_of(error.source());
    const std::string_view again = "cannot redefine existing ";
    if (const auto at = words.find(again); at != std::string_view::npos) {
        const auto open = words.find('\'', at);
        const auto close = words.rfind('\'');
        const bool named = open != std::string_view::npos && close > open;
        const std::string_view key =
            named ? words.substr(open + 1, close - open - 1) : std::string_view("it");
        problems.add(place, worded("{} is already there further up", quoted(key)),
                     worded("each key and each [heading] once"));
        return;
    }
    for (const Rewording& rewording : kRewordings) {
        if (words.find(rewording.sign) == std::string_view::npos) continue;
        problems.add(place, base::looked_up_word(rewording.found), base::looked_up_word(rewording.expected));
        return;
    }
    problems.add(place, worded("this is not TOML ({})", words), worded("key = value, or a [heading]"));
}

std::vector<std::string_view> lines_of(std::string_view text) {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (text.substr(0, 3) == kByteOrderMark) text.remove_prefix(3);
    std::vector<std::string_view> lines;
    while (true) {
        const std::size_t end = text.find('\n');
        lines.push_back(text.substr(0, end));
        if (end == std::string_view::npos) return lines;
        text.remove_prefix(end + 1);
    }
}

bool continues_point(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0) == 0x80;
}

// The byte at which the n-th code point (from 0) of a line begins.
std::size_t offset_of_letter(std::string_view line, std::size_t n) {
    std::size_t at = 0;
    for (; at < line.size(); ++at) {
        if (continues_point(line[at])) continue;
        if (n == 0) return at;
        --n;
    }
    return at;
}

}  // namespace

Place place_of(const toml::node& node) {
    return place_of(node.source());
}

Place place_of(const toml::key& key) {
    return place_of(key.source());
}

std::optional<Document> Document::parse(std::string_view text, Problems& problems) {
    try {
        Document document;
        document.root_ = toml::parse(text);
        document.lines_ = lines_of(text);
        return document;
    } catch (const toml::parse_error& error) {
        add_syntax_problem(error, problems);
    } catch (const std::exception& error) {
        problems.add({1, 1}, worded("the text could not be taken in ({})", error.what()),
                     worded("a shorter course book"));
    }
    return std::nullopt;
}

std::string Document::number_text(Place place) const {
    if (place.line < 1 || static_cast<std::size_t>(place.line) > lines_.size() || place.column < 1) return {};
    std::string_view line = lines_[static_cast<std::size_t>(place.line - 1)];
    line.remove_prefix(offset_of_letter(line, static_cast<std::size_t>(place.column - 1)));
    std::string number;
    for (char c : line) {
        const bool of_number = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || c == 'E' || c == '.' ||
                               c == '+' || c == '-' || c == '_';
        if (!of_number) break;
        if (c != '_') number += c;
    }
    return number;
}

std::vector<Entry> in_written_order(const toml::table& table) {
    std::vector<Entry> entries;
    for (const auto& [key, value] : table)
        entries.push_back({key.str(), place_of(key), &value});
    std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
        return std::tie(a.key_place.line, a.key_place.column) <
               std::tie(b.key_place.line, b.key_place.column);
    });
    return entries;
}

}  // namespace plumbmark::course::internal
