// Lists that come into a meet: divisions, and start lists with the round they are for. What the desk and the
// command line share.
#pragma once

#include <string>

#include "base/table.h"
#include "meet/start_list.h"

namespace plumbmark::review {

/// A list from a file (store/csv.h says which kinds). Errors: io, not_found; bad_input with the line.
[[nodiscard]] base::Result<base::Table> read_list_file(const std::string& path);

/// Whether a list is one of divisions: it has the column 'key'.
[[nodiscard]] bool lists_divisions(const base::Table& table);

/// The change that takes in a list of divisions, with the columns key, name, born_from, born_to, category and
/// course: each that is new comes, each whose key is known is changed. Errors: bad_input with the line.
[[nodiscard]] base::Result<meet::Change> divisions_change(const base::Table& table, const meet::State& state);

/// The round of this name, and where the name is empty the only one; else one that is still to come, after
/// all others, called "Final" without a name.
[[nodiscard]] meet::Round round_for(const meet::State& state, const std::string& name);

/// The one change that enters a good list in this round, which comes with it where it is new.
[[nodiscard]] meet::Change start_list_change(const meet::State& state, const meet::StartList& list,
                                             const meet::Round& round);

}  // namespace plumbmark::review
