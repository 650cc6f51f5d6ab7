#include "desk/standings_rows.h"

#include <fmt/format.h>

#include <algorithm>

#include "desk/internal/say.h"
#include "review/appeal_work.h"

namespace plumbmark::desk {
namespace {

std::string remark_of(const report::StandingsLine& line) {
    const base::Speaking in_the_windows_language;
    return report::standings_remark(line);
}

std::string state_of(const review::TableOutlook& table, bool unsealed) {
    if (!table.last) return tr("not given out yet");
    return tr("{}, publication {}, given out {}{}{}", table.last->official ? tr("official") : tr("announced"),
              table.last->id.value, review::time_of_day(table.last->at),
              unsealed ? tr("; not sealed yet") : "", table.same ? "" : tr("; it moved since"));
}

std::string short_state_of(const review::TableOutlook& table, bool final) {
    if (table.last && !table.same) return tr("moved since");
    if (table.last) return table.last->official ? tr("official") : tr("announced");
    return final ? tr("complete") : tr("so far");
}

}  // namespace

std::vector<TableRows> standings_rows(const review::StandingsOutlook& outlook,
                                      const std::vector<meet::PublicationId>& unsealed) {
    std::vector<TableRows> tables;
    const bool points = outlook.document.rules.order == meet::Order::points_then_time;
    for (std::size_t i = 0; i < outlook.tables.size(); ++i) {
        const report::StandingsTable& from = outlook.document.tables[i];
        const review::TableOutlook& about = outlook.tables[i];
        TableRows table;
        table.name = report::standings_title(from);
        table.state = state_of(about, about.last && std::find(unsealed.begin(), unsealed.end(),
                                                              about.last->id) != unsealed.end());
        table.short_state = short_state_of(about, from.final);
        table.counted_word = points ? tr("points") : tr("cleared");
        table.moved = about.moved;
        table.awaits = about.awaits;
        for (const report::StandingsLine& line : from.lines) {
            const bool placed = line.line.status == meet::LineStatus::placed;
            const meet::Score& score = line.line.result.score;
            StandingsRow row;
            row.run = line.line.run;
            row.place = placed ? std::to_string(line.line.placing.place) : "";
            row.number = line.number;
            row.name = line.name;
            row.club = line.club;
            row.counted = placed ? std::to_string(points ? score.points : score.cleared) : "";
            if (placed && score.time)
                row.time = meet::range_text(*score.time, outlook.document.rules.times.unit);
            row.remark = remark_of(line);
            table.rows.push_back(std::move(row));
        }
        tables.push_back(std::move(table));
    }
    return tables;
}

}  // namespace plumbmark::desk
