// Finding a division or a lane of a book by its key.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/text.h"
#include "base/worded.h"

namespace plumbmark::course::internal {

/// The division or lane with this key; 'kind' is what it is. Error not_found names the nearest one.
template <class Thing>
base::Result<const Thing*> named(const std::vector<Thing>& things, const base::Sentence& kind,
                                 std::string_view key) {
    std::vector<std::string> keys;
    for (const Thing& thing : things) {
        if (thing.key == key) return &thing;
        keys.push_back(thing.key);
    }
    const auto near = base::nearest_name(key, keys);
    return base::Error{
        base::Category::not_found,
        near           ? base::worded("The course book has no {} '{}'; did you mean '{}'?", kind, key, *near)
        : keys.empty() ? base::worded("The course book has no {} '{}'; it names none.", kind, key)
                       : base::worded("The course book has no {} '{}'.", kind, key),
        ""};
}

}  // namespace plumbmark::course::internal
