// plumbmark enter MEETFILE LIST: a start list, looked through first and then entered whole.
// plumbmark divisions MEETFILE [LIST]: the divisions of a meet.
#include <fmt/format.h>

#include <charconv>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "meet/start_list.h"
#include "store/csv.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct EnterOptions {
    std::string meet, list, round;
    std::vector<std::string> columns;
    bool preview = false;
};

Result<base::Table> read_table(const std::string& path) {
    Result<std::string> text = read_file(path);
    if (!text) return text.error();
    Result<base::Table> table = store::read_csv(*text);
    if (!table) return Error{table.error().category, table.error().text(), path};
    return table;
}

/// What the columns are: by their names, and by what --column says.
Result<meet::ColumnMap> columns_of(const base::Table& table, const std::vector<std::string>& said) {
    meet::ColumnMap columns = meet::guessed_columns(table.header);
    for (const std::string& one : said) {
        const std::size_t equals = one.find('=');
        const auto field = meet::start_field_from_words(one.substr(0, equals));
        if (equals == std::string::npos || !field)
            return Error{
                Category::bad_input,
                fmt::format("'{}' should read FIELD=COLUMN, such as number=Bib or 'first name=Given'.", one),
                ""};
        const auto column = std::find(table.header.begin(), table.header.end(), one.substr(equals + 1));
        if (column == table.header.end())
            return Error{Category::not_found,
                         fmt::format("The list has no column '{}'; it has {}.", one.substr(equals + 1),
                                     base::listed(table.header)),
                         ""};
        for (auto& other : columns) {
            if (other == field) other.reset();
        }
        columns[static_cast<std::size_t>(column - table.header.begin())] = field;
    }
    return columns;
}

void print_columns(const base::Table& table, const meet::ColumnMap& columns) {
    for (std::size_t i = 0; i < columns.size(); ++i)
        fmt::print("column '{}': {}\n", table.header[i],
                   columns[i] ? meet::start_field_words(*columns[i]) : "not taken");
}

void print_rows(const meet::StartList& list) {
    for (const meet::StartRow& row : list.rows) {
        const meet::Athlete& athlete = row.athlete;
        fmt::print("{:>5}  {} {}{}\n", athlete.number, athlete.name,
                   athlete.club.empty() ? "" : "(" + athlete.club + ") ", athlete.division);
    }
}

int print_problems(const std::string& path, const meet::StartList& list) {
    for (const std::string& problem : list.problems)
        fmt::print(stderr, "plumbmark: {}: {}\n", path, problem);
    for (const meet::StartRow& row : list.rows) {
        for (const std::string& problem : row.problems)
            fmt::print(stderr, "plumbmark: {}:{}: {}\n", path, row.line, problem);
    }
    fmt::print(stderr, "plumbmark: Nothing was entered.\n");
    return exit_code(Category::bad_input);
}

/// The round of this name, made where there is none.
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

int enter(const EnterOptions& options) {
    const Result<base::Table> table = read_table(options.list);
    if (!table) return complain(table.error());
    const Result<meet::ColumnMap> columns = columns_of(*table, options.columns);
    if (!columns) return complain(columns.error());
    meet::StartList list;
    const auto make = [&](const meet::State& state) -> Result<meet::Change> {
        const meet::Round round = round_for(state, options.round);
        list = meet::read_start_list(*table, *columns, state, round.id);
        if (!list.good() || options.preview) return meet::Change{};
        meet::Change change = meet::entering(list, state, round.id);
        if (!state.rounds().contains(round.id))
            change.edits.insert(change.edits.begin(), {std::nullopt, round});
        return change;
    };
    if (options.preview) {
        const Result<meet::State> state = read_meet(options.meet);
        if (!state) return complain(state.error());
        (void)make(*state);
        print_columns(*table, *columns);
    } else if (const Result<meet::State> done = review::change_meet(options.meet, make); !done) {
        return complain(done.error());
    }
    if (!list.good()) return print_problems(options.list, list);
    if (options.preview) print_rows(list);
    fmt::print("{} {}\n", base::counted(std::ssize(list.rows), "athlete"),
               options.preview ? "can be entered" : "entered");
    return kDone;
}

struct DivisionsOptions {
    std::string meet, list;
};

Result<std::optional<std::int32_t>> read_year(const std::string& text) {
    if (text.empty()) return std::optional<std::int32_t>();
    std::int32_t year = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), year);
    if (error != std::errc{} || end != text.data() + text.size())
        return Error{Category::bad_input, fmt::format("'{}' is no year.", text), ""};
    return std::optional<std::int32_t>(year);
}

Result<meet::Change> divisions_change(const base::Table& table, const meet::State& state) {
    const auto column = [&](const std::string& name) {
        return static_cast<std::size_t>(std::find(table.header.begin(), table.header.end(), name) -
                                        table.header.begin());
    };
    if (column("key") == table.header.size())
        return Error{
            Category::bad_input,
            "The list of divisions needs the column 'key'; it may have name, born_from, born_to, category "
            "and course.",
            ""};
    meet::Change change{"divisions", {}, 0};
    std::int64_t next = state.next_id(meet::Kind::division);
    for (const base::TableRow& row : table.rows) {
        const auto field = [&](const std::string& name) {
            return column(name) < row.fields.size() ? std::string(base::trimmed(row.fields[column(name)]))
                                                    : std::string();
        };
        const auto from = read_year(field("born_from")), to = read_year(field("born_to"));
        if (!from || !to)
            return Error{Category::bad_input, (from ? to : from).error().sentence,
                         fmt::format("line {}", row.line)};
        meet::Division division{{-1}, field("key"),      field("name"),  *from,
                                *to,  field("category"), field("course")};
        std::optional<meet::Entity> before;
        for (const auto& [id, other] : state.divisions()) {
            if (other.key == division.key) before = other;
        }
        division.id = before ? std::get<meet::Division>(*before).id : meet::DivisionId{next++};
        if (!before || !(std::get<meet::Division>(*before) == division))
            change.edits.push_back({before, division});
    }
    return change;
}

int divisions(const DivisionsOptions& options) {
    Result<meet::State> state = [&]() -> Result<meet::State> {
        if (options.list.empty()) return read_meet(options.meet);
        const Result<base::Table> table = read_table(options.list);
        if (!table) return table.error();
        return review::change_meet(options.meet, [&](const meet::State& now) -> Result<meet::Change> {
            Result<meet::Change> change = divisions_change(*table, now);
            if (!change) return Error{change.error().category, change.error().text(), options.list};
            return change;
        });
    }();
    if (!state) return complain(state.error());
    if (state->divisions().empty()) fmt::print("The meet has no division yet.\n");
    for (const auto& [id, division] : state->divisions()) {
        const auto year = [](const std::optional<std::int32_t>& born, const char* open) {
            return born ? std::to_string(*born) : std::string(open);
        };
        const bool any_year = !division.born_from && !division.born_to;
        fmt::print("{}: {}{}{}{}\n", division.key, division.name,
                   any_year ? ""
                            : fmt::format(", born {} to {}", year(division.born_from, "any year"),
                                          year(division.born_to, "any year")),
                   division.category.empty() ? "" : ", " + division.category,
                   division.course.empty() ? "" : ", course of '" + division.course + "'");
    }
    return kDone;
}

}  // namespace

void add_enter(CLI::App& program, Action& action) {
    auto options = std::make_shared<EnterOptions>();
    CLI::App* command = program.add_subcommand(
        "enter",
        "Enter a start list (CSV): every row is looked at first, and the list entered whole or not at all");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("LIST", options->list, "The list: UTF-8, with a header; comma, semicolon or tab")
        ->required();
    command->add_option("--round", options->round,
                        "The round it is for, made where there is none of this name");
    command->add_option(
        "--column", options->columns,
        "What a column is, where its name does not say it: FIELD=COLUMN; fields: number, name, first "
        "name, last name, club, division, born, category, consent, heat, start, lane");
    command->add_flag("--preview", options->preview, "Say what would be entered, and enter nothing");
    command->callback([options, &action] { action = [options] { return enter(*options); }; });
}

void add_divisions(CLI::App& program, Action& action) {
    auto options = std::make_shared<DivisionsOptions>();
    CLI::App* command =
        program.add_subcommand("divisions", "The divisions of a meet; a list adds to them or changes them");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("LIST", options->list,
                        "A list (CSV) with the columns key, name, born_from, born_to, category, course");
    command->callback([options, &action] { action = [options] { return divisions(*options); }; });
}

}  // namespace plumbmark::cli
