#include "course/parts.h"

#include "base/catalogue.h"

namespace plumbmark::course {
namespace {

struct PartName {
    std::string_view key;
    std::string_view words;
};

constexpr std::array<PartName, kAllParts.size()> kNames{{
    {"left_hand", base::to_translate("left hand")},
    {"right_hand", base::to_translate("right hand")},
    {"left_foot", base::to_translate("left foot")},
    {"right_foot", base::to_translate("right foot")},
    {"other", base::to_translate("another part of the body")},
    {"loose", base::to_translate("hair, clothing or gear")},
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
