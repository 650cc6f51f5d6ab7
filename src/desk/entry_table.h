// The floor's table on the desk: one row a run in start order, a column per station and one for the official
// time; and the hand that moves and types in it. Without a window: the panel draws it, the page acts on it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "meet/floor_entry.h"
#include "review/competition.h"

namespace plumbmark::desk {

/// Which rows are shown; none: all.
struct EntryFilter {
    std::optional<meet::RoundId> round;
    std::optional<meet::DivisionId> division;
    std::optional<std::int32_t> heat;
    friend bool operator==(const EntryFilter&, const EntryFilter&) = default;
};

/// "Final, u14g, heat 2"; "every run" without any.
/// The round's name, or "round 2".
[[nodiscard]] std::string round_words(const meet::Round& round);
[[nodiscard]] std::string filter_words(const meet::State& state, const EntryFilter& filter);

struct EntryColumn {
    std::string station;  ///< key; empty: the official time at the finish
    std::string name;
};

struct EntryCell {
    bool there = false;  ///< the row's course has this station
    std::optional<meet::Call> call;
    std::optional<std::int32_t> points;  ///< of a fail
    std::string time;                    ///< of the clock there, as the meet gives times
    bool under_appeal = false, decided = false;
    std::optional<meet::EntityKey> call_key, time_key;  ///< what must be on the disk for it to be solid
};

struct EntryRow {
    meet::EntryId entry;
    meet::RunId run;     ///< none: nobody ran yet
    bool latest = true;  ///< calls go to this run; false: it was run again
    bool rerun = false;  ///< it is a re-run
    std::string number, name, club, division;
    std::int32_t heat = 1, start = 1;
    meet::EntryStatus status = meet::EntryStatus::entered;
    std::string reason;
    std::vector<EntryCell> cells;  ///< one a column
};

struct EntryTable {
    std::vector<EntryColumn> columns;  ///< stations in the order of the course, then the official time
    std::vector<EntryRow> rows;
};

/// The rows that the filter lets through: rounds by number, then heat, place in it, and an entry's runs in
/// their order. Takes time in proportion to the entries of the meet and to what the shown ones have.
[[nodiscard]] EntryTable entry_table(const meet::State& state, review::MeetCourses& courses,
                                     const EntryFilter& filter);

/// "not started", "disqualified: helped over the gantry": why a row stands apart; empty when it does not.
[[nodiscard]] std::string status_words(const EntryRow& row);
[[nodiscard]] const char* entry_status_words(meet::EntryStatus status);

/// What is being typed.
enum class Typing : std::uint8_t { nothing, number, time, points };

/// Where the person is, and what is being typed there.
struct EntryHand {
    std::size_t row = 0, column = 0;
    Typing typing = Typing::nothing;
    std::string text;

    /// By so many rows and columns, within the table; what was typed is let go.
    void move(const EntryTable& table, std::ptrdiff_t rows, std::ptrdiff_t columns);
    /// To the next column, from the last one to the first of the next row; back likewise.
    void tab(const EntryTable& table, bool back);
    /// Keeps the place when the table was made anew: the same run, else the same entry, else the row.
    void stay(const EntryTable& before, const EntryTable& after);
    /// A typed character. Digits begin a time in the official time's column and a number to go to elsewhere;
    /// a time goes on with . , : and /. False: it means nothing here.
    bool type(const EntryTable& table, char32_t character);
    /// The last character is taken back.
    void take_back();
    void let_go();
};

/// The first row whose number is this, else begins so; none: there is none.
[[nodiscard]] std::optional<std::size_t> row_of_number(const EntryTable& table, std::string_view number);

/// A cell's word: "clear", "fail", "fail 2" with points; empty without a call.
[[nodiscard]] std::string call_words(const EntryCell& cell);

}  // namespace plumbmark::desk
