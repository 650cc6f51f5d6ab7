// Standings as people and programs read them: on a terminal, as JSON, as a table for spreadsheets, and as a
// page.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/table.h"
#include "meet/standings.h"
#include "report/paper_size.h"

namespace plumbmark::report {

struct StandingsLine {
    std::string number;
    std::string name;
    std::string club;
    std::int32_t heat = 1;
    std::string reason;  ///< why withdrawn or disqualified
    meet::Line line;
};

struct StandingsTable {
    std::string round;
    std::string division_key;
    std::string division;
    std::optional<meet::PublicationId>
        published;          ///< the publication that these results are; none: provisional
    bool official = false;  ///< of that publication
    bool final = false;     ///< nothing is awaited, missing or under appeal
    std::vector<StandingsLine> lines;
};

struct StandingsDocument {
    std::string program_version;
    std::string meet_name, venue, date;
    meet::Rules rules;
    std::vector<StandingsTable> tables;
};

/// "placed", "awaited", "not_started", "withdrawn", "disqualified": the words used in JSON and tables.
[[nodiscard]] const char* line_status_key(meet::LineStatus status);

/// "Final, Girls under 14".
[[nodiscard]] std::string standings_title(const StandingsTable& table);
/// What stands behind a line: why it has no place ("withdrawn: sprained ankle"), or what its place still
/// waits for ("under appeal, time from footage"); empty: nothing.
[[nodiscard]] std::string standings_remark(const StandingsLine& line);

/// For a terminal. Names are put through internal/plain.h. Pure; any thread.
[[nodiscard]] std::string standings_text(const StandingsDocument& document);

/// As JSON (docs/standings.schema.json): UTF-8, members always in the same order, one line feed at the end.
/// Times are whole nanoseconds. Pure; any thread.
[[nodiscard]] std::string standings_json(const StandingsDocument& document);

/// One row a line, for spreadsheets: round, division, place, number, name, club, cleared, points, time,
/// status.
[[nodiscard]] base::Table standings_table(const StandingsDocument& document);

/// One self-contained page. Everything from the meet is escaped. Pure; any thread.
[[nodiscard]] std::string standings_html(const StandingsDocument& document);

/// The same as a PDF, as ruling_sheet_pdf() makes one: a table's head stands on each of its pages, a line of
/// it stays whole. Error io. Any thread.
[[nodiscard]] base::Result<std::string> standings_pdf(const StandingsDocument& document,
                                                      PaperSize size = PaperSize::a4);

}  // namespace plumbmark::report
