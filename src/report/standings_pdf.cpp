// The standings on paper.
#include "report/internal/paper_parts.h"
#include "report/internal/plain.h"
#include "report/internal/standings_words.h"
#include "report/standings_document.h"

namespace plumbmark::report {
namespace {

paper::Table table_of(const StandingsDocument& document, const StandingsTable& standings) {
    paper::Table table;
    table.columns = {{"place", 34, 0, true},
                     {"number", 48, 0, true},
                     {"name", 0, 3},
                     {"club", 0, 2.2},
                     {cleared_word(document), 44, 0, true},
                     {"time", 84, 0, true},
                     {"", 0, 2.2}};
    for (const StandingsLine& line : standings.lines) {
        const bool placed = line.line.status == meet::LineStatus::placed;
        table.rows.push_back({place_of(line.line), line.number, line.name, line.club,
                              placed ? std::to_string(counted(document, line.line)) : "",
                              time_of(document, line.line), standings_remark(line)});
    }
    return table;
}

}  // namespace

base::Result<std::string> standings_pdf(const StandingsDocument& document, PaperSize size) {
    using namespace paper;
    Sheet sheet;
    sheet.title = joined_names({"Results", plain(document.meet_name)}, ": ");
    sheet.maker = "Plumbmark " + document.program_version;
    sheet.foot = joined_names({"Results", plain(document.meet_name), plain(document.date)}, ", ");
    sheet.blocks = head({document.meet_name, {document.venue, document.date}}, {"Results", {}});
    if (document.tables.empty())
        sheet.blocks.push_back(text_block(Style::body, {{"Nobody is entered yet."}}, 8));
    for (const StandingsTable& table : document.tables) {
        sheet.blocks.push_back(text_block(Style::title, {{isolated(standings_title(table))}}, 14));
        sheet.blocks.push_back(text_block(Style::note, {{state_words(table)}}));
        sheet.blocks.back().leads = true;
        Block& block = sheet.blocks.emplace_back();
        block.what.emplace<Table>(table_of(document, table));
        block.above = 4;
    }
    return make_pdf(sheet, size);
}

}  // namespace plumbmark::report
