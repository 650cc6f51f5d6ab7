#include "review/entering.h"

#include <algorithm>
#include <charconv>
#include <filesystem>

#include "base/catalogue.h"
#include "base/text.h"
#include "base/worded.h"
#include "meet/who_ran.h"
#include "review/internal/sentences.h"
#include "review/read_file.h"
#include "store/csv.h"

namespace plumbmark::review {

using base::Category;
using base::Error;
using base::Result;
using base::worded;

namespace {

constexpr std::size_t kMostBytes = 16 * 1024 * 1024;  // store/csv.h

}  // namespace

Result<base::Table> read_list_file(const std::string& path) {
    std::error_code problem;
    const auto status = std::filesystem::status(path, problem);
    if (status.type() == std::filesystem::file_type::not_found)
        return Error{Category::not_found, worded("There is no such file."), path};
    if (status.type() != std::filesystem::file_type::regular)
        return Error{Category::bad_input, worded("This is no file that holds a list; name a table (CSV)."),
                     path};
    const Result<std::string> text = read_file(path, kMostBytes);
    if (!text) return text.error();
    Result<base::Table> table = store::read_csv(*text);
    if (!table) return Error{table.error().category, whole_of(table.error()), path};
    return table;
}

bool lists_divisions(const base::Table& table) {
    return std::find(table.header.begin(), table.header.end(), "key") != table.header.end();
}

meet::Round round_for(const meet::State& state, const std::string& name) {
    meet::Round fresh;
    fresh.id = {state.next_id(meet::Kind::round)};
    fresh.name = name.empty() ? "Final" : name;
    for (const auto& [id, round] : state.rounds()) {
        if (round.name == name || (name.empty() && state.rounds().size() == 1)) return round;
        fresh.number = std::max(fresh.number, round.number + 1);
    }
    return fresh;
}

meet::Change start_list_change(const meet::State& state, const meet::StartList& list,
                               const meet::Round& round) {
    meet::Change change = meet::entering(list, state, round.id);
    if (!state.rounds().contains(round.id)) change.edits.insert(change.edits.begin(), {std::nullopt, round});
    return change;
}

namespace {

Result<std::optional<std::int32_t>> read_year(const std::string& text) {
    if (text.empty()) return std::optional<std::int32_t>();
    std::int32_t year = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), year);
    if (error != std::errc{} || end != text.data() + text.size())
        return Error{Category::bad_input, worded("'{}' is no year.", text), ""};
    return std::optional<std::int32_t>(year);
}

}  // namespace

Result<meet::Change> divisions_change(const base::Table& table, const meet::State& state) {
    const auto column = [&](const std::string& name) {
        return static_cast<std::size_t>(std::find(table.header.begin(), table.header.end(), name) -
                                        table.header.begin());
    };
    if (column("key") == table.header.size())
        return Error{Category::bad_input,
                     worded("The list of divisions needs the column 'key'; it may have name, born_from, "
                            "born_to, category "
                            "and course."),
                     ""};
    meet::Change change{base::to_translate("divisions"), {}, 0};
    std::int64_t next = state.next_id(meet::Kind::division);
    for (const base::TableRow& row : table.rows) {
        const auto field = [&](const std::string& name) {
            return column(name) < row.fields.size() ? std::string(base::trimmed(row.fields[column(name)]))
                                                    : std::string();
        };
        const auto from = read_year(field("born_from")), to = read_year(field("born_to"));
        if (!from || !to)
            return Error{Category::bad_input, (from ? to : from).error().sentence,
                         worded("line {}", row.line)};
        meet::Division division{{-1}, field("key"),      field("name"),  *from,
                                *to,  field("category"), field("course")};
        const meet::Division* before = meet::division_with_key(state, division.key);
        division.id = before != nullptr ? before->id : meet::DivisionId{next++};
        if (before == nullptr)
            change.edits.push_back({std::nullopt, division});
        else if (*before != division)
            change.edits.push_back({*before, division});
    }
    return change;
}

}  // namespace plumbmark::review
