// plumbmark briefing BOOK|MEETFILE: what the course asks of an athlete, station by station.
#include "review/briefing.h"

#include <fmt/format.h>

#include "cli/internal/competition.h"
#include "cli/internal/paper.h"

namespace plumbmark::cli {
namespace {

using base::Result;

struct BriefingOptions {
    std::string source, division, lane, out;
    std::string paper = "a4";
    bool json = false;
};

/// A meet file is an SQLite database, which begins with these words (SQLite's 'Database File Format', 1.3); a
/// course book cannot.
bool is_meet_file(const std::string& bytes) {
    return bytes.rfind("SQLite format 3", 0) == 0;
}

Result<report::BriefingDocument> document_of(const BriefingOptions& options) {
    if (std::filesystem::path(options.source).extension() != ".meet") {
        const Result<std::string> text = read_file(options.source);
        if (!text) return text.error();
        if (!is_meet_file(*text))
            return review::briefing_of_book(*text, options.source, options.division, options.lane);
    }
    const Result<meet::State> state = read_meet(options.source);
    if (!state) return state.error();
    return review::briefing_of_meet(*state, options.division, options.lane);
}

Result<std::string> bytes_of(const BriefingOptions& options, const report::BriefingDocument& document) {
    if (options.json) return report::briefing_json(document);
    if (options.out.empty()) return report::briefing_text(document);
    if (is_pdf(options.out)) return report::briefing_pdf(document, paper_size(options.paper));
    return report::briefing_html(document);
}

int briefing(const BriefingOptions& options) {
    const Result<report::BriefingDocument> document = document_of(options);
    if (!document) return complain(document.error());
    const Result<std::string> bytes = bytes_of(options, *document);
    if (!options.out.empty()) return put_out(options.out, bytes);
    if (!bytes) return complain(bytes.error());
    fmt::print("{}", *bytes);
    return kDone;
}

}  // namespace

void add_briefing(CLI::App& program, Action& action) {
    auto options = std::make_shared<BriefingOptions>();
    CLI::App* command = program.add_subcommand(
        "briefing", "What the course asks of an athlete, station by station, from a course book or a meet");
    command->add_option("BOOK", options->source, "A course book (.course), or a meet file with one (.meet)")
        ->required();
    command->add_option("--division", options->division, "The division, by key");
    command->add_option("--lane", options->lane, "The lane, by key");
    command->add_option("-o,--out", options->out,
                        "Write it to this file: a PDF where it ends in .pdf, else a page (HTML)");
    command->add_flag("--json", options->json, "As JSON");
    add_paper_option(*command, options->paper);
    command->callback([options, &action] { action = [options] { return briefing(*options); }; });
}

}  // namespace plumbmark::cli
