#include "course/words.h"

#include "base/catalogue.h"
#include "base/text.h"

namespace plumbmark::course {

std::string with_article(const std::string& name) {
    const bool small = !name.empty() && name.front() >= 'a' && name.front() <= 'z';
    if (!small) return name;
    const char last = name.back();
    const bool told = (last >= '0' && last <= '9') || name.rfind("the ", 0) == 0;
    return told ? name : "the " + name;
}

std::string part_with_article(Part part) {
    switch (part) {
        case Part::left_hand:
            return base::to_translate("the left hand");
        case Part::right_hand:
            return base::to_translate("the right hand");
        case Part::left_foot:
            return base::to_translate("the left foot");
        case Part::right_foot:
            return base::to_translate("the right foot");
        case Part::other:
        case Part::loose:
            break;
    }
    return std::string(part_words(part));
}

std::vector<std::string> parts_named(PartSet parts) {
    std::vector<std::string> names;
    const auto group = [&](PartSet set, const char* name) {
        if (!parts.contains(set)) return;
        names.emplace_back(name);
        for (const Part part : kAllParts) {
            if (set.has(part)) parts.remove(part);
        }
    };
    group(kHands, base::to_translate("hands"));
    group(kFeet, base::to_translate("feet"));
    for (const Part part : kAllParts) {
        if (parts.has(part)) names.push_back(part_with_article(part));
    }
    return names;
}

std::string parts_listed(PartSet parts) {
    return base::listed(parts_named(parts));
}

}  // namespace plumbmark::course
