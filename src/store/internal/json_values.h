// Values that stand in more than one kind of stored thing, as JSON: points, lists of one kind of item, and
// whole numbers that are no larger than an int.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "store/internal/strict_reader.h"

namespace plumbmark::store {

/// [x, y].
[[nodiscard]] Json point_json(const std::array<double, 2>& point);
/// The same, or null.
[[nodiscard]] Json point_or_null(const std::optional<std::array<double, 2>>& point);
/// The opposite of point_json. Throws ReadProblem.
[[nodiscard]] std::array<double, 2> read_point(const Json& value, const std::string& path);
/// The opposite of point_or_null. Throws ReadProblem.
[[nodiscard]] std::optional<std::array<double, 2>> read_point_or_none(const Members& parent,
                                                                      const std::string& name);

/// A number that may have a fraction. Throws ReadProblem.
[[nodiscard]] double read_real(const Members& members, const std::string& name);
/// A whole number from 0 that fits an int. Throws ReadProblem.
[[nodiscard]] std::int32_t read_small(const Members& members, const std::string& name);
/// A number that may be left open, which is null then; and the opposite, which throws ReadProblem.
[[nodiscard]] Json number_or_null(const std::optional<std::int32_t>& number);
[[nodiscard]] std::optional<std::int32_t> read_small_or_none(const Members& members, const std::string& name);

/// The items of a list; 'read' gets each and its path. Throws what 'read' throws, and ReadProblem.
template <class T, class Read>
[[nodiscard]] std::vector<T> read_each(const Members& parent, const std::string& name, Read read) {
    std::vector<T> items;
    const Json& list = parent.list(name);
    for (std::size_t i = 0; i < list.size(); ++i)
        items.push_back(read(list[i], item_path(parent.path_of(name), i)));
    return items;
}

}  // namespace plumbmark::store
