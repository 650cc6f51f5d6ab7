#include "store/internal/strict_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "base/text.h"
#include "base/worded.h"
#include "meet/changes.h"

namespace plumbmark::store {
namespace {

using base::Sentence;
using base::worded;

Sentence found_words(const Json& value) {
    if (value.is_string()) return worded("a text");
    if (value.is_boolean()) return value.get<bool>() ? "true" : "false";
    if (value.is_number()) return worded("the number {}", number_text(value.get<double>()));
    if (value.is_array()) return worded("a list");
    return value.is_object() ? worded("an object") : "null";
}

}  // namespace

void fail_at(const Sentence& path, const Sentence& sentence) {
    throw ReadProblem{{base::Category::bad_input, sentence, path.empty() ? worded("the whole text") : path}};
}

Sentence row_place(std::string_view table, std::string_view id) {
    return worded("table {}, id {}", table, id);
}

std::string member_path(const std::string& path, const std::string& name) {
    return path.empty() ? name : path + "." + name;
}

std::string item_path(const std::string& path, std::size_t index) {
    return fmt::format("{}[{}]", path, index);
}

namespace {

// The name of the first member that is not known; null where there is none.
template <class Known>
const std::string* stranger(const Json& object, const Known& known) {
    for (auto member = object.begin(); member != object.end(); ++member) {
        if (std::find(known.begin(), known.end(), member.key()) == known.end()) return &member.key();
    }
    return nullptr;
}

}  // namespace

Members::Members(const Json& value, std::string path, std::initializer_list<std::string_view> known)
    : object_(value), path_(std::move(path)) {
    if (!value.is_object()) fail_at(path_, worded("an object is expected here, not {}", found_words(value)));
    if (const std::string* name = stranger(value, known))
        refuse(*name, std::vector<std::string>(known.begin(), known.end()));
}

Members::Members(const Json& value, std::string path, const std::vector<std::string>& known)
    : object_(value), path_(std::move(path)) {
    if (!value.is_object()) fail_at(path_, worded("an object is expected here, not {}", found_words(value)));
    if (const std::string* name = stranger(value, known)) refuse(*name, known);
}

void Members::refuse(const std::string& name, const std::vector<std::string>& known) const {
    const std::string shown = name.substr(0, 60);
    const auto nearest = base::nearest_name(shown, known);
    fail_at(path_of(shown), nearest ? worded("no such member is known here; did you mean '{}'?", *nearest)
                                    : worded("no such member is known here; known are {}",
                                             base::listed_words({known.begin(), known.end()})));
}

const Json& Members::required(const std::string& name) const {
    const auto found = object_.find(name);
    if (found == object_.end()) fail_at(path_, worded("the member '{}' is missing", name));
    return *found;
}

// Paths are made where something is wrong: most values are read without one.
std::string Members::text(const std::string& name) const {
    const Json& value = required(name);
    if (value.is_string()) {
        const auto& text = value.get_ref<const std::string&>();
        if (text.find('\0') == std::string::npos) return text;
    }
    return read_text(value, path_of(name));
}

bool Members::flag(const std::string& name) const {
    const Json& value = required(name);
    if (!value.is_boolean())
        fail_at(path_of(name), worded("true or false is expected here, not {}", found_words(value)));
    return value.get<bool>();
}

std::int64_t Members::whole_number(const std::string& name) const {
    const Json& value = required(name);
    if (value.is_number_unsigned()) {
        const auto number = value.get<std::uint64_t>();
        if (number <= static_cast<std::uint64_t>(meet::kLargestWholeNumber))
            return static_cast<std::int64_t>(number);
    }
    return read_whole_number(value, path_of(name));
}

std::int64_t Members::long_number(const std::string& name) const {
    const std::string text = this->text(name);
    std::int64_t number = 0;
    const auto end = std::from_chars(text.data(), text.data() + text.size(), number);
    if (end.ec != std::errc{} || end.ptr != text.data() + text.size() || std::to_string(number) != text)
        fail_at(path_of(name), worded("a whole number in decimal digits is expected in this text"));
    return number;
}

const Json& Members::list(const std::string& name) const {
    const Json& value = required(name);
    return value.is_array() ? value : read_list(value, path_of(name));
}

std::string read_text(const Json& value, const std::string& path) {
    if (!value.is_string()) fail_at(path, worded("a text is expected here, not {}", found_words(value)));
    const auto& text = value.get_ref<const std::string&>();
    if (text.find('\0') != std::string::npos)
        fail_at(path, worded("the character U+0000 may not stand in a text"));
    return text;
}

std::int64_t read_whole_number(const Json& value, const std::string& path) {
    const auto refuse = [&] {
        fail_at(path, worded("a whole number from 0 is expected here, not {}", found_words(value)));
    };
    if (!value.is_number()) refuse();
    const double number = value.get<double>();
    const auto largest = static_cast<double>(meet::kLargestWholeNumber);
    if (!(number >= 0 && number <= largest) ||
        number != static_cast<double>(static_cast<std::int64_t>(number)))
        refuse();
    return static_cast<std::int64_t>(number);
}

double read_number(const Json& value, const std::string& path) {
    if (!value.is_number()) fail_at(path, worded("a number is expected here, not {}", found_words(value)));
    return value.get<double>();
}

const Json& read_list(const Json& value, const std::string& path) {
    if (!value.is_array()) fail_at(path, worded("a list is expected here, not {}", found_words(value)));
    return value;
}

}  // namespace plumbmark::store
