// The settings that can be tried, as a person writes them.
#include <fmt/format.h>

#include <array>
#include <charconv>

#include "base/text.h"
#include "review/what_if.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;

constexpr std::int64_t kMostDrift = 1'000'000;
constexpr base::Duration kLongestRowDelay{1'000'000'000};
constexpr base::Duration kLongestRun{86'400'000'000'000};

Error wrong(const std::string& name, const std::string& value, const std::string& expected) {
    return {Category::bad_input, fmt::format("'{}' cannot stand there; expected {}.", value, expected), name};
}

Result<void> put_truth(WhatIf& what_if, bool course::CourseBook::*field, const std::string& name,
                       const std::string& value) {
    if (value != "true" && value != "false") return wrong(name, value, "true or false");
    what_if.of_book.push_back(
        [field, truth = value == "true"](course::CourseBook& book) { book.*field = truth; });
    return {};
}

Result<void> put_drift(WhatIf& what_if, const std::string& name, const std::string& value) {
    std::int64_t number = -1;
    const auto [end, problem] = std::from_chars(value.data(), value.data() + value.size(), number);
    const bool whole = problem == std::errc() && end == value.data() + value.size();
    if (!whole || number < 0 || number > kMostDrift)
        return wrong(name, value, fmt::format("parts per million, a whole number from 0 to {}", kMostDrift));
    what_if.drift_parts_per_million = number;
    return {};
}

Result<void> put_row_delay(WhatIf& what_if, const std::string& name, const std::string& value) {
    // Milliseconds, read as seconds and divided.
    const Result<base::Duration> read = base::parse_seconds(value);
    if (!read || read->ns / 1000 > kLongestRowDelay.ns)
        return wrong(name, value, "milliseconds from 0 to 1000, such as 16.7");
    what_if.row_delay = base::Duration{read->ns / 1000};
    return {};
}

Result<void> put_run_cap(WhatIf& what_if, const std::string& name, const std::string& value) {
    std::optional<base::Duration> cap;
    if (value != "none") {
        const Result<base::Duration> read = base::parse_seconds(value);
        if (!read || read->ns <= 0 || *read > kLongestRun)
            return wrong(name, value, "seconds, more than 0 and at most a day, or none");
        cap = *read;
    }
    what_if.of_book.push_back([cap](course::CourseBook& book) { book.run_cap = cap; });
    return {};
}

Result<void> put_false_start(WhatIf& what_if, const std::string& name, const std::string& value) {
    const bool fails = value == "fails the first station";
    if (!fails && value != "no effect") return wrong(name, value, "'fails the first station' or 'no effect'");
    what_if.of_book.push_back([fails](course::CourseBook& book) {
        book.false_start = fails ? course::FalseStart::fails_first_station : course::FalseStart::no_effect;
    });
    return {};
}

Result<void> put_format(WhatIf& what_if, const std::string& name, const std::string& value) {
    const bool ends = value == "first fail ends";
    if (!ends && value != "every station counts")
        return wrong(name, value, "'first fail ends' or 'every station counts'");
    what_if.of_book.push_back([ends](course::CourseBook& book) {
        book.format = ends ? course::Format::first_fail_ends : course::Format::every_station_counts;
    });
    return {};
}

const std::array<WhatIfSetting, 8> kSettings{{
    {"drift", "how far two clocks may run apart, in parts per million (50)"},
    {"row_delay", "milliseconds between the first and last row of clips whose own is not known (33)"},
    {"brush_counts", "whether a brush counts where a touch is forbidden: true or false"},
    {"loose_counts", "whether hair, clothing and gear count: true or false"},
    {"at_cap_is_in_time", "whether an event exactly at a cap is in time: true or false"},
    {"false_start", "'fails the first station' or 'no effect'"},
    {"format", "'first fail ends' or 'every station counts'"},
    {"run_cap", "seconds from the start signal, or none"},
}};

Result<void> put(WhatIf& what_if, const std::string& name, const std::string& value) {
    using Book = course::CourseBook;
    if (name == "drift") return put_drift(what_if, name, value);
    if (name == "row_delay") return put_row_delay(what_if, name, value);
    if (name == "brush_counts") return put_truth(what_if, &Book::brush_counts, name, value);
    if (name == "loose_counts") return put_truth(what_if, &Book::loose_counts, name, value);
    if (name == "at_cap_is_in_time") return put_truth(what_if, &Book::at_cap_is_in_time, name, value);
    if (name == "false_start") return put_false_start(what_if, name, value);
    if (name == "format") return put_format(what_if, name, value);
    if (name == "run_cap") return put_run_cap(what_if, name, value);
    std::vector<std::string> names;
    for (const WhatIfSetting& setting : kSettings)
        names.push_back(setting.name);
    const auto near = base::nearest_name(name, names);
    return Error{Category::bad_input,
                 fmt::format("There is no setting '{}'; there are {}.{}", name, base::listed(names),
                             near ? " Did you mean '" + *near + "'?" : ""),
                 ""};
}

}  // namespace

std::span<const WhatIfSetting> what_if_settings() {
    return kSettings;
}

Result<void> put_setting(WhatIf& what_if, const std::string& name_and_value) {
    const std::size_t sign = name_and_value.find('=');
    if (sign == std::string::npos)
        return Error{
            Category::bad_input,
            fmt::format("'{}' is no setting; write NAME=VALUE, such as brush_counts=false.", name_and_value),
            ""};
    const std::string name(base::trimmed(std::string_view(name_and_value).substr(0, sign), " "));
    const std::string value(base::trimmed(std::string_view(name_and_value).substr(sign + 1), " "));
    if (Result<void> added = put(what_if, name, value); !added) return added;
    what_if.settings.push_back(name + " = " + value);
    return {};
}

}  // namespace plumbmark::review
