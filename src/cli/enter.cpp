// plumbmark enter MEETFILE LIST: a start list, looked through first and then entered whole.
// plumbmark divisions MEETFILE [LIST]: the divisions of a meet.
#include <fmt/format.h>

#include "base/text.h"
#include "cli/internal/competition.h"
#include "meet/start_list.h"
#include "review/entering.h"

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

int enter(const EnterOptions& options) {
    const Result<base::Table> table = review::read_list_file(options.list);
    if (!table) return complain(table.error());
    const Result<meet::ColumnMap> columns = columns_of(*table, options.columns);
    if (!columns) return complain(columns.error());
    meet::StartList list;
    const auto make = [&](const meet::State& state) -> Result<meet::Change> {
        const meet::Round round = review::round_for(state, options.round);
        list = meet::read_start_list(*table, *columns, state, round.id);
        if (!list.good() || options.preview) return meet::Change{};
        return review::start_list_change(state, list, round);
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

int divisions(const DivisionsOptions& options) {
    Result<meet::State> state = [&]() -> Result<meet::State> {
        if (options.list.empty()) return read_meet(options.meet);
        const Result<base::Table> table = review::read_list_file(options.list);
        if (!table) return table.error();
        return review::change_meet(options.meet, [&](const meet::State& now) -> Result<meet::Change> {
            Result<meet::Change> change = review::divisions_change(*table, now);
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
