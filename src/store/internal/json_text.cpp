#include "store/internal/json_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "base/check.h"
#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::store {
namespace {

using base::Sentence;
using base::worded;

Sentence line_and_column(std::string_view text, std::size_t offset) {
    const std::string_view head = text.substr(0, std::min(offset, text.size()));
    const auto line = 1 + std::count(head.begin(), head.end(), '\n');
    const std::size_t start = head.rfind('\n') == std::string_view::npos ? 0 : head.rfind('\n') + 1;
    return worded("line {}, column {}", line, std::max<std::size_t>(1, head.size() - start));
}

// The library's own reader keeps the last of two members with one name and nests without limit; this one
// refuses.
class StrictReader {
  public:
    explicit StrictReader(std::string_view text) : text_(text) {}

    bool null() { return add(nullptr); }
    bool boolean(bool value) { return add(value); }
    bool number_integer(std::int64_t value) { return add(value); }
    bool number_unsigned(std::uint64_t value) { return add(value); }
    bool number_float(double value, const std::string&) { return add(value); }
    bool string(std::string& value) { return add(std::move(value)); }
    bool binary(Json::binary_t&) { return fail("", worded("bytes have no place in a JSON text")); }
    bool start_object(std::size_t) { return open(Json::object()); }
    bool start_array(std::size_t) { return open(Json::array()); }
    bool end_object() { return close(); }
    bool end_array() { return close(); }
    bool key(std::string& name) {
        if (open_.back()->contains(name))
            return fail("", worded("the member '{}' stands twice in one object", name));
        name_ = name;
        return true;
    }
    bool parse_error(std::size_t offset, const std::string&, const nlohmann::detail::exception& problem) {
        const bool range = dynamic_cast<const nlohmann::detail::out_of_range*>(&problem) != nullptr;
        return fail(line_and_column(text_, offset),
                    range ? worded("this number is too large") : worded("this is not JSON from here on"));
    }

    [[nodiscard]] base::Result<Json> outcome() {
        if (!error_.sentence.empty()) return error_;
        return std::move(root_);
    }

  private:
    bool fail(Sentence where, Sentence sentence) {
        error_ = {base::Category::bad_input, std::move(sentence), std::move(where)};
        return false;
    }
    Json* place(Json value) {
        if (open_.empty()) {
            root_ = std::move(value);
            return &root_;
        }
        Json& parent = *open_.back();
        if (parent.is_array()) {
            parent.push_back(std::move(value));
            return &parent.back();
        }
        return &(parent[name_] = std::move(value));
    }
    template <class T>
    bool add(T&& value) {
        place(Json(std::forward<T>(value)));
        return true;
    }
    bool open(Json empty) {
        if (open_.size() >= kDeepestNesting)
            return fail("", worded("objects and arrays are nested deeper than {}", kDeepestNesting));
        open_.push_back(place(std::move(empty)));
        return true;
    }
    bool close() {
        open_.pop_back();
        return true;
    }

    std::string_view text_;
    Json root_;
    std::vector<Json*> open_;  // ancestors only: no sibling is added while one of them is open
    std::string name_;
    base::Error error_;
};

// UTF-16 code units, whose order differs from that of UTF-8 bytes above U+FFFF.
std::u16string utf16(std::string_view utf8) {
    std::u16string units;
    for (const char32_t point : base::code_points(utf8)) {
        if (point < 0x10000) {
            units.push_back(static_cast<char16_t>(point));
        } else {
            units.push_back(static_cast<char16_t>(0xD800 + ((point - 0x10000) >> 10)));
            units.push_back(static_cast<char16_t>(0xDC00 + ((point - 0x10000) & 0x3FF)));
        }
    }
    return units;
}

void write_text(std::string& out, std::string_view text) {
    constexpr std::string_view kLetters = "btn\0fr";  // for U+0008 to U+000D
    out.push_back('"');
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out.push_back('\\');
            out.push_back(c);
        } else if (byte >= 0x08 && byte <= 0x0D && byte != 0x0B) {
            out.push_back('\\');
            out.push_back(kLetters[byte - 0x08U]);
        } else if (byte < 0x20) {
            fmt::format_to(std::back_inserter(out), "\\u{:04x}", byte);
        } else {
            out.push_back(c);
        }
    }
    out.push_back('"');
}

void write_value(std::string& out, const Json& value);

void write_object(std::string& out, const Json& object) {
    std::vector<std::pair<std::u16string, const std::string*>> names;
    for (const auto& member : object.items())
        names.emplace_back(utf16(member.key()), &member.key());
    std::sort(names.begin(), names.end());
    out.push_back('{');
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) out.push_back(',');
        write_text(out, *names[i].second);
        out.push_back(':');
        write_value(out, object.at(*names[i].second));
    }
    out.push_back('}');
}

void write_array(std::string& out, const Json& array) {
    out.push_back('[');
    for (std::size_t i = 0; i < array.size(); ++i) {
        if (i > 0) out.push_back(',');
        write_value(out, array[i]);
    }
    out.push_back(']');
}

// Recursion is safe: nothing nests deeper than kDeepestNesting.
void write_value(std::string& out, const Json& value) {
    if (value.is_object()) return write_object(out, value);
    if (value.is_array()) return write_array(out, value);
    if (value.is_string()) return write_text(out, value.get_ref<const std::string&>());
    if (value.is_boolean()) {
        out += value.get<bool>() ? "true" : "false";
    } else if (value.is_number()) {
        out +=
            number_text(value.get<double>());  // also integers: a JSON number is a double (RFC 8785, 3.2.2.3)
    } else {
        out += "null";
    }
}

}  // namespace

base::Result<Json> parse_json(std::string_view text) {
    StrictReader reader(text);
    Json::sax_parse(text.begin(), text.end(), &reader);
    return reader.outcome();
}

std::string canonical_text(const Json& value) {
    std::string out;
    write_value(out, value);
    return out;
}

std::string number_text(double value) {
    PLUMBMARK_CHECK(std::isfinite(value));
    if (value == 0.0) return "0";
    std::array<char, 32> buffer{};
    const double size = std::fabs(value);
    const auto end =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), size, std::chars_format::scientific);
    const std::string_view shortest(buffer.data(), static_cast<std::size_t>(end.ptr - buffer.data()));
    const std::size_t e = shortest.find('e');
    std::string digits;
    for (const char c : shortest.substr(0, e)) {
        if (c != '.') digits.push_back(c);
    }
    // In the words of ECMA-262: the value is digits * 10^(n - k), with k digits.
    const int k = static_cast<int>(digits.size());
    const int n = std::stoi(std::string(shortest.substr(e + 1))) + 1;
    std::string text;
    if (k <= n && n <= 21) {
        text = digits + std::string(static_cast<std::size_t>(n - k), '0');
    } else if (0 < n && n <= 21) {
        text =
            digits.substr(0, static_cast<std::size_t>(n)) + "." + digits.substr(static_cast<std::size_t>(n));
    } else if (-6 < n && n <= 0) {
        text = "0." + std::string(static_cast<std::size_t>(-n), '0') + digits;
    } else {
        text = digits.substr(0, 1) + (k > 1 ? "." + digits.substr(1) : "");
        text += fmt::format("e{}{}", n > 0 ? '+' : '-', std::abs(n - 1));
    }
    return value < 0 ? "-" + text : text;
}

}  // namespace plumbmark::store
