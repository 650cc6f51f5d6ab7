// What the pages of the meet's own view ask for, from clicks, lists and offers.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <variant>

#include "desk/entry_table.h"
#include "meet/start_list.h"

namespace plumbmark::desk {

enum class MeetPageKind : std::uint8_t { start, entry, appeals, standings, start_list, lodging, deciding };

struct ShowPage {
    MeetPageKind page;
};
/// The cursor goes to this line of the page, and to this column where it has some.
struct TakeLine {
    std::size_t line, column = 0;
};
/// The pointer's own list of what can be done with the cell under the cursor; screen pixels.
struct CellMenu {
    float x, y;
};
struct TakeFilter {
    EntryFilter filter;
};
struct TakeStatus {
    meet::EntryId entry;
    meet::EntryStatus status;
};
struct TakeRerun {
    meet::EntryId entry;
};
struct ReviewRun {
    meet::RunId run;
};
/// A choice made for the field of a form.
struct TakeChoice {
    std::size_t field;
    int value;
};
/// A start list or a list of divisions; a folder: what is in it.
struct TakeListFile {
    std::filesystem::path file;
};
struct TakeColumn {
    std::size_t column;
    std::optional<meet::StartField> field;
};
struct TakeRound {
    std::optional<meet::RoundId> round;  ///< none: a new one, whose name is asked
};
struct GiveOut {
    bool official;
};
/// The meet's first signing key is to be made.
struct MakeKey {};

using MeetCommand = std::variant<ShowPage, TakeLine, CellMenu, TakeFilter, TakeStatus, TakeRerun, ReviewRun,
                                 TakeChoice, TakeListFile, TakeColumn, TakeRound, GiveOut, MakeKey>;

}  // namespace plumbmark::desk
