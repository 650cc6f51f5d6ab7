#include "store/internal/json_values.h"

#include "base/worded.h"

namespace plumbmark::store {

using base::worded;

Json point_json(const std::array<double, 2>& point) {
    return Json::array({point[0], point[1]});
}

Json point_or_null(const std::optional<std::array<double, 2>>& point) {
    return point ? point_json(*point) : Json(nullptr);
}

std::array<double, 2> read_point(const Json& value, const std::string& path) {
    if (read_list(value, path).size() != 2) fail_at(path, worded("a point has two numbers"));
    return {read_number(value[0], item_path(path, 0)), read_number(value[1], item_path(path, 1))};
}

std::optional<std::array<double, 2>> read_point_or_none(const Members& parent, const std::string& name) {
    if (parent.required(name).is_null()) return std::nullopt;
    return read_point(parent.required(name), parent.path_of(name));
}

double read_real(const Members& members, const std::string& name) {
    return read_number(members.required(name), members.path_of(name));
}

std::int32_t read_small(const Members& members, const std::string& name) {
    const std::int64_t number = members.whole_number(name);
    if (number > INT32_MAX) fail_at(members.path_of(name), worded("the number is too large"));
    return static_cast<std::int32_t>(number);
}

Json number_or_null(const std::optional<std::int32_t>& number) {
    return number ? Json(*number) : Json(nullptr);
}

std::optional<std::int32_t> read_small_or_none(const Members& members, const std::string& name) {
    if (members.required(name).is_null()) return std::nullopt;
    return read_small(members, name);
}

}  // namespace plumbmark::store
