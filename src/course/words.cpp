#include "course/words.h"

#include <vector>

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
    const std::string words(part_words(part));
    const bool has_its_own = part == Part::loose || words.rfind("another ", 0) == 0;
    return has_its_own ? words : "the " + words;
}

std::string parts_listed(PartSet parts) {
    std::vector<std::string> names;
    const auto group = [&](PartSet set, const char* name) {
        if (!parts.contains(set)) return;
        names.emplace_back(name);
        for (const Part part : kAllParts) {
            if (set.has(part)) parts.remove(part);
        }
    };
    group(kHands, "hands");
    group(kFeet, "feet");
    for (const Part part : kAllParts) {
        if (parts.has(part)) names.push_back(part_with_article(part));
    }
    return base::listed(names);
}

}  // namespace plumbmark::course
