#include "course/internal/fields.h"

#include <algorithm>
#include <set>

namespace plumbmark::course::internal {
namespace {

std::vector<std::string> as_strings(std::span<const std::string_view> words) {
    return {words.begin(), words.end()};
}

Sentence any_of_keys(std::span<const std::string_view> keys) {
    std::vector<Sentence> shown;
    for (const std::string_view key : keys)
        shown.emplace_back(std::string(key));
    return base::listed_words(shown, "or");
}

Sentence or_empty(const std::string& text) {
    return text.empty() ? worded("empty") : quoted(text);
}

// A known key of the course found inside another table has slipped under a [heading] that came before it.
bool belongs_to_course(std::string_view key) {
    return std::find(kCourseKeys.begin(), kCourseKeys.end(), key) != kCourseKeys.end();
}

}  // namespace

Sentence described(const toml::node& node, const Document& document) {
    switch (node.type()) {
        case toml::node_type::string:
            return worded("the text {}", quoted(node.ref<std::string>()));
        case toml::node_type::integer:
            return worded("the number {}", node.ref<std::int64_t>());
        case toml::node_type::floating_point:
            return worded("the number {}", document.number_text(place_of(node)));
        case toml::node_type::boolean:
            return node.ref<bool>() ? "true" : "false";
        case toml::node_type::array:
            return node.as_array()->empty() ? worded("an empty list") : worded("a list");
        case toml::node_type::table:
            return worded("a table");
        default:
            return worded("a date or a time of day");
    }
}

Fields::Fields(const toml::table& table, Place place, Sentence what, std::span<const std::string_view> known,
               Reading& reading)
    : table_(table), place_(place), what_(std::move(what)), reading_(reading) {
    for (const Entry& entry : in_written_order(table)) {
        if (std::find(known.begin(), known.end(), entry.key) != known.end()) continue;
        const std::string nearest =
            reading.problems.crowded() ? "" : nearest_or_none(entry.key, as_strings(known));
        if (nearest.empty() && belongs_to_course(entry.key)) {
            problem(entry.key_place, worded("{} is not a key of {}", quoted(entry.key), what_),
                    worded("{} at the top of the file, above the first [heading]", quoted(entry.key)));
            continue;
        }
        if (!nearest.empty()) suggested_.push_back(nearest);
        problem(entry.key_place, worded("{} is not a key of {}", quoted(entry.key), what_),
                any_of_keys(known), nearest);
    }
}

void Fields::problem(Place place, Sentence found, Sentence expected, std::string suggestion) const {
    reading_.problems.add(place, std::move(found), std::move(expected), std::move(suggestion));
}

void Fields::missing(std::string_view key, Sentence expected) const {
    if (std::find(suggested_.begin(), suggested_.end(), key) != suggested_.end()) return;
    problem(place_, worded_in("course book", "{} has no {}", what_, quoted(key)), std::move(expected));
}

void Fields::wrong_kind(const toml::node& node, std::string_view key, Sentence expected) const {
    problem(place_of(node),
            worded_in("course book", "{} is {}", quoted(key), described(node, reading_.document)),
            std::move(expected));
}

Sentence Fields::one_of(const std::vector<std::string>& words) {
    std::vector<Sentence> shown;
    for (const std::string& word : words)
        shown.emplace_back("\"" + word + "\"");
    return base::listed_words(shown, "or");
}

void Fields::wrong_word(Place place, std::string_view word, const std::vector<std::string>& known) const {
    problem(place, worded("{} is not one of the words that can stand here", quoted(word)), one_of(known),
            nearest_or_none(with_spaces(word), known));
}

std::optional<std::string> Fields::text_at(const toml::node& node, std::string_view key,
                                           Sentence expected) const {
    if (node.is_string()) return node.ref<std::string>();
    wrong_kind(node, key, std::move(expected));
    return std::nullopt;
}

std::string Fields::name(std::string_view key, std::string_view example) const {
    const Sentence expected = worded("a name in quotes, such as \"{}\"", example);
    const toml::node* node = find(key);
    if (node == nullptr) {
        missing(key, expected);
        return {};
    }
    const std::optional<std::string> text = text_at(*node, key, expected);
    if (!text) return {};
    if (good_name(*text)) return *text;
    problem(place_of(*node), worded_in("course book", "{} is {}", quoted(key), or_empty(*text)),
            worded("1 to 200 letters on one line"));
    return {};
}

std::string Fields::own_key(std::string_view example) const {
    const Sentence expected = worded("a short word for marks and files, such as \"{}\"", example);
    const toml::node* node = find("key");
    if (node == nullptr) {
        missing("key", expected);
        return {};
    }
    const std::optional<std::string> text = text_at(*node, "key", expected);
    if (!text) return {};
    if (good_key(*text)) return *text;
    problem(place_of(*node), worded_in("course book", "{} is {}", quoted("key"), or_empty(*text)),
            worded("1 to 64 letters, digits, '_' or '-', without spaces"));
    return {};
}

bool Fields::truth(std::string_view key, bool otherwise) const {
    const toml::node* node = find(key);
    if (node == nullptr) return otherwise;
    if (node->is_boolean()) return node->ref<bool>();
    wrong_kind(*node, key, worded("true or false, without quotes"));
    return otherwise;
}

std::int32_t Fields::whole_number(std::string_view key, std::int32_t least, std::int32_t most,
                                  std::int32_t otherwise) const {
    const toml::node* node = find(key);
    if (node == nullptr) return otherwise;
    if (node->is_integer()) {
        const std::int64_t number = node->ref<std::int64_t>();
        if (number >= least && number <= most) return static_cast<std::int32_t>(number);
    }
    wrong_kind(*node, key, worded("a whole number from {} to {}", least, most));
    return otherwise;
}

std::vector<PlacedText> Fields::texts(std::string_view key, const Sentence& expected) const {
    const toml::node* node = find(key);
    if (node == nullptr) return {};
    if (const auto text = node->value_exact<std::string>()) return {{*text, place_of(*node)}};
    const toml::array* list = node->as_array();
    if (list == nullptr || list->empty()) {
        wrong_kind(*node, key, expected);
        return {};
    }
    std::vector<PlacedText> texts;
    std::set<std::string> seen;
    for (const toml::node& element : *list) {
        const auto text = element.value_exact<std::string>();
        if (!text) {
            problem(place_of(element),
                    worded("in {} stands {}", quoted(key), described(element, reading_.document)), expected);
        } else if (!seen.insert(*text).second) {
            problem(place_of(element), worded("{} stands twice in {}", quoted(*text), quoted(key)),
                    worded("each of them once"));
        } else {
            texts.push_back({*text, place_of(element)});
        }
    }
    return texts;
}

PartSet Fields::parts(std::string_view key, PartSet otherwise) const {
    if (!has(key)) return otherwise;
    const std::vector<std::string> known = words_of(kPartWords);
    PartSet all;
    bool good = true;
    for (const PlacedText& word : texts(key, worded("{}, or a list of these", one_of(known)))) {
        const std::optional<PartSet> set = value_of(word.text, kPartWords);
        good = good && set.has_value();
        if (!set) wrong_word(word.place, word.text, known);
        for (Part part : kAllParts) {
            if (set && set->has(part)) all.add(part);
        }
    }
    return all.empty() || !good ? otherwise : all;
}

std::vector<SurfaceId> Fields::surfaces(std::string_view key) const {
    std::vector<SurfaceId> ids;
    for (const PlacedText& text : texts(key, worded("the key of a surface in quotes, or a list of them"))) {
        const SurfaceId id = usable_surface(text.text, text.place, reading_);
        if (id.valid()) ids.push_back(id);
    }
    return ids;
}

SurfaceId Fields::surface(std::string_view key) const {
    const toml::node* node = find(key);
    if (node == nullptr) return {};
    const auto text = text_at(*node, key, worded("the key of a surface in quotes"));
    return text ? usable_surface(*text, place_of(*node), reading_) : SurfaceId{};
}

PlaneId Fields::plane(std::string_view key) const {
    const toml::node* node = find(key);
    if (node == nullptr) return {};
    const auto text = text_at(*node, key, worded("the key of a plane in quotes"));
    return text ? declared_plane(*text, place_of(*node), reading_) : PlaneId{};
}

std::vector<const toml::table*> Fields::tables(std::string_view key, std::size_t most,
                                               const Sentence& expected) const {
    const toml::node* node = find(key);
    if (node == nullptr) return {};
    const toml::array* list = node->as_array();
    if (list == nullptr || list->empty()) {
        wrong_kind(*node, key, expected);
        return {};
    }
    std::vector<const toml::table*> tables;
    for (const toml::node& element : *list) {
        if (const toml::table* inner = element.as_table(); inner == nullptr) {
            problem(place_of(element),
                    worded("in {} stands {}", quoted(key), described(element, reading_.document)), expected);
        } else if (tables.size() == most) {
            problem(place_of(element), worded("{} has more than {} of {}", what_, most, quoted(key)),
                    worded("at most {}", most));
            break;
        } else {
            tables.push_back(inner);
        }
    }
    return tables;
}

const toml::table* Fields::table(std::string_view key, const Sentence& expected) const {
    const toml::node* node = find(key);
    if (node == nullptr) return nullptr;
    if (!node->is_table()) wrong_kind(*node, key, expected);
    return node->as_table();
}

}  // namespace plumbmark::course::internal
