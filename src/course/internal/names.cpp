// Names and references: what may be a key, and what a key in a station refers to.
#include <algorithm>

#include "course/internal/fields.h"

namespace plumbmark::course::internal {
namespace {

bool blank_or_control(char32_t c) {
    return c < 0x21 || (c >= 0x7F && c <= 0xA0) || c == 0x1680 || (c >= 0x2000 && c <= 0x200F) ||
           (c >= 0x2028 && c <= 0x202F) || (c >= 0x205F && c <= 0x206F) || c == 0x3000 || c == 0xFEFF ||
           c == 0xFFFD;
}

bool key_letter(char32_t c) {
    if (c >= 0x80) return !blank_or_control(c);
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

// Characters that would break a line or turn the writing direction of the sentence around them.
bool breaks_a_line(char32_t c) {
    return c < 0x20 || (c >= 0x7F && c <= 0x9F) || c == 0x2028 || c == 0x2029 ||
           (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

std::vector<std::string> surface_keys(const CourseBook& book) {
    std::vector<std::string> keys;
    for (const Surface& surface : book.surfaces)
        keys.push_back(surface.key);
    return keys;
}

std::vector<Sentence> quoted_faces(const CourseBook& book, SurfaceId parent) {
    std::vector<Sentence> keys;
    for (const Surface& surface : book.surfaces) {
        if (surface.parent == parent) keys.push_back(quoted(surface.key));
    }
    return keys;
}

}  // namespace

std::string with_spaces(std::string_view word) {
    std::string spaced(word);
    std::replace(spaced.begin(), spaced.end(), '_', ' ');
    return spaced;
}

bool good_key(std::string_view key) {
    const std::u32string letters = base::code_points(key);
    return !letters.empty() && letters.size() <= 64 &&
           std::all_of(letters.begin(), letters.end(), key_letter);
}

bool good_name(std::string_view name) {
    const std::u32string letters = base::code_points(name);
    return letters.size() <= 200 && std::none_of(letters.begin(), letters.end(), breaks_a_line) &&
           !std::all_of(letters.begin(), letters.end(), blank_or_control);
}

SurfaceId usable_surface(std::string_view key, Place place, Reading& reading) {
    const CourseBook& book = reading.book;
    const SurfaceId id = book.find_surface(key);
    if (!id.valid()) {
        const bool crowded = reading.problems.crowded();
        reading.problems.add(place, worded("{} is not a declared surface", quoted(key)),
                             worded("a surface from [surfaces]"),
                             crowded ? "" : nearest_or_none(key, surface_keys(book)));
        return id;
    }
    const std::vector<Sentence> faces = quoted_faces(book, id);
    if (!faces.empty()) {
        reading.problems.add(place, worded("{} has faces, and this does not say which", quoted(key)),
                             base::listed_words(faces, "or"));
        return SurfaceId{};
    }
    if (book.surface(id).out_of_play) {
        reading.problems.add(place, worded("{} is declared out of play", quoted(key)),
                             worded("a surface without 'out_of_play = true' in [surfaces]"));
        return SurfaceId{};
    }
    return id;
}

PlaneId declared_plane(std::string_view key, Place place, Reading& reading) {
    const PlaneId id = reading.book.find_plane(key);
    if (id.valid()) return id;
    std::vector<std::string> keys;
    for (const Plane& plane : reading.book.planes)
        keys.push_back(plane.key);
    reading.problems.add(place, worded("{} is not a declared plane", quoted(key)),
                         worded("a plane from [planes]"),
                         reading.problems.crowded() ? "" : nearest_or_none(key, keys));
    return id;
}

}  // namespace plumbmark::course::internal
