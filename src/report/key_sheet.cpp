#include "report/key_sheet.h"

#include <algorithm>

#include "report/internal/paper_parts.h"

namespace plumbmark::report {
namespace {

/// Read down the left half, then down the right one.
paper::Table table_of(const KeyLines& group) {
    paper::Table table;
    table.columns = {{"key", 84}, {"what it does", 0}, {"key", 84}, {"what it does", 0}};
    const std::size_t half = (group.lines.size() + 1) / 2;
    const auto put = [&](std::vector<std::string>& row, std::size_t at) {
        const bool there = at < group.lines.size();
        row.push_back(there ? group.lines[at].key + (group.lines[at].own ? " *" : "") : "");
        row.push_back(there ? group.lines[at].words : "");
    };
    for (std::size_t i = 0; i < half; ++i) {
        std::vector<std::string> row;
        put(row, i);
        put(row, i + half);
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace

base::Result<std::string> key_sheet_pdf(const std::vector<KeyLines>& groups,
                                        const std::string& program_version, PaperSize size) {
    using namespace paper;
    bool own = false;
    for (const KeyLines& group : groups)
        own = own || std::any_of(group.lines.begin(), group.lines.end(), [](const auto& l) { return l.own; });
    Sheet sheet;
    sheet.title = "The keys of the desk";
    sheet.maker = "Plumbmark " + program_version;
    sheet.foot = own ? "The keys of the desk. * own key, not the one that the desk comes with"
                     : "The keys of the desk";
    sheet.scale = 0.9;
    sheet.blocks = head({"The keys of the desk", {}}, {"Plumbmark", {}});
    for (const KeyLines& group : groups) {
        if (group.lines.empty()) continue;
        sheet.blocks.push_back(heading(group.title));
        Block& block = sheet.blocks.emplace_back();
        block.what.emplace<Table>(table_of(group));
    }
    return make_pdf(sheet, size);
}

}  // namespace plumbmark::report
