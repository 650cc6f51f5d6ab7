// Finding a division or a lane of a book by its key.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/text.h"

namespace plumbmark::course::internal {

/// The division or lane with this key. Error not_found names the nearest one.
template <class Thing>
base::Result<const Thing*> named(const std::vector<Thing>& things, const std::string& kind,
                                 std::string_view key) {
    std::vector<std::string> keys;
    for (const Thing& thing : things) {
        if (thing.key == key) return &thing;
        keys.push_back(thing.key);
    }
    std::string sentence = "The course book has no " + kind + " '" + std::string(key) + "'";
    const auto near = base::nearest_name(key, keys);
    sentence += near ? "; did you mean '" + *near + "'?" : keys.empty() ? "; it names none." : ".";
    return base::Error{base::Category::not_found, sentence, ""};
}

}  // namespace plumbmark::course::internal
