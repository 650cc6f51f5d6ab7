// Start lists: from a table that somebody wrote to athletes and entries. First which column is what, then
// every row with what is wrong with it; only a list without any problem is entered, and then as one change.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/table.h"
#include "meet/changes.h"

namespace plumbmark::meet {

enum class StartField : std::uint8_t {
    number,      ///< as on the bib; the only field that every list has to have
    name,        ///< the whole name
    first_name,  ///< before the last name, where 'name' is not there
    last_name,
    club,
    division,  ///< key or name of a division; where it is not there, born and category choose
    born,      ///< a year, or a date with the year first or last
    category,
    consent,  ///< yes or no, empty: unknown
    heat,
    start,
    lane,
};

/// "number", "first name": the word for it, in lists of choices and on the command line.
[[nodiscard]] const char* start_field_words(StartField field);
/// The field of this word; none when there is no such field.
[[nodiscard]] std::optional<StartField> start_field_from_words(std::string_view words);

/// What each column is; none: it is not taken.
using ColumnMap = std::vector<std::optional<StartField>>;

/// What the columns seem to be by their names ("Bib", "Surname", "Year of birth"); each field once, the first
/// column that fits.
[[nodiscard]] ColumnMap guessed_columns(const std::vector<std::string>& header);

struct StartRow {
    std::int64_t line = 0;
    Athlete athlete;                    ///< with the id of the one whose number it is, else without
    std::optional<std::int32_t> heat;   ///< none: the first
    std::optional<std::int32_t> start;  ///< none: in the order of the list
    std::string lane;
    std::vector<base::Sentence> problems;  ///< without the line
};

struct StartList {
    std::vector<base::Sentence> problems;  ///< of the list as a whole
    std::vector<StartRow> rows;
    std::size_t wrong_rows = 0;
    [[nodiscard]] bool good() const { return problems.empty() && wrong_rows == 0; }
};

/// Reads the rows of a table by these columns, one for each of the header. A row whose number the meet knows
/// already is that athlete: what the list says is taken over, what it leaves empty stays. Problems: no column
/// for the number, one field in two columns; of a row no number, a number twice in the list, no division that
/// fits or several, a year, heat, start or consent that is none, an athlete who is entered in the round
/// already.
[[nodiscard]] StartList read_start_list(const base::Table& table, const ColumnMap& columns,
                                        const State& state, std::optional<RoundId> round);

/// The one change that enters a good list in this round: athletes come or change, each gets an entry.
[[nodiscard]] Change entering(const StartList& list, const State& state, RoundId round);

}  // namespace plumbmark::meet
