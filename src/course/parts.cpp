#include "course/parts.h"

namespace plumbmark::course {
namespace {

struct PartName {
    std::string_view key;
    std::string_view words;
};

constexpr std::array<PartName, kAllParts.size()> kNames{{
    {"left_hand", "left hand"},
    {"right_hand", "right hand"},
    {"left_foot", "left foot"},
    {"right_foot", "right foot"},
    {"other", "another part of the body"},
    {"loose", "hair, clothing or gear"},
}};

}  // namespace

std::string_view part_key(Part part) {
    return kNames.at(static_cast<std::size_t>(part)).key;
}

std::string_view part_words(Part part) {
    return kNames.at(static_cast<std::size_t>(part)).words;
}

std::optional<Part> part_from_key(std::string_view key) {
    for (Part part : kAllParts) {
        if (part_key(part) == key) return part;
    }
    return std::nullopt;
}

}  // namespace plumbmark::course
