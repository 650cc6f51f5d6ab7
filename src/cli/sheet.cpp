// plumbmark sheet MEETFILE: writes the ruling sheet of a run.
#include <fmt/format.h>

#include "cli/internal/interrupt.h"
#include "cli/internal/paper.h"
#include "report/ruling_pdf.h"
#include "report/ruling_sheet.h"
#include "review/documents.h"
#include "review/run_measures.h"

namespace plumbmark::cli {
namespace {

struct SheetOptions {
    std::string meet;
    std::string run;
    std::string out;
    std::string pdf;
    std::string paper = "a4";
};

/// Where the sheets go: everything that was named, or beside the meet file.
std::vector<std::filesystem::path> targets(const SheetOptions& options, meet::RunId run) {
    std::vector<std::filesystem::path> out;
    for (const std::string& named : {options.out, options.pdf})
        if (!named.empty()) out.emplace_back(named);
    if (!out.empty()) return out;
    std::filesystem::path beside = options.meet;
    beside.replace_extension();
    beside += "-run-" + std::to_string(run.value) + "-ruling.html";
    return {beside};
}

struct MadeSheet {
    std::filesystem::path file;
    std::string bytes;
};

/// All of them, before any is written.
base::Result<std::vector<MadeSheet>> make(const SheetOptions& options, const std::stop_token& stop) {
    auto session = open_run(options.meet, options.run, true);
    if (!session) return session.error();
    base::Result<report::RulingDocument> document = review::ruling_document(**session);
    if (!document) return document.error();
    const auto measured = review::run_measures(**session, stop);
    if (!measured) return measured.error();
    review::add_measures(*measured, (*session)->state(), (*session)->run(), *document);
    base::Result<review::SheetPictures> pictures = review::ruling_stills(**session, *document, stop);
    if (!pictures) return pictures.error();
    document->faces = pictures->faces;
    const std::vector<report::Still>& stills = pictures->stills;
    std::vector<MadeSheet> made;
    for (const std::filesystem::path& file : targets(options, (*session)->run())) {
        const bool printed = is_pdf(file) || file == options.pdf;
        base::Result<std::string> bytes =
            printed ? report::ruling_sheet_pdf(*document, stills, paper_size(options.paper))
                    : report::ruling_sheet_html(*document, stills);
        if (!bytes) return bytes.error();
        made.push_back({file, std::move(*bytes)});
    }
    return made;
}

int run(const SheetOptions& options) {
    const Interrupt interrupt;
    const base::Result<std::vector<MadeSheet>> made = make(options, interrupt.token());
    if (interrupt.asked()) return complain(cancelled());
    if (!made) return complain(made.error());
    for (const MadeSheet& sheet : *made)
        if (const int code = put_out(sheet.file, sheet.bytes); code != kDone) return code;
    return kDone;
}

}  // namespace

void add_sheet(CLI::App& program, Action& action) {
    auto options = std::make_shared<SheetOptions>();
    CLI::App* command = program.add_subcommand(
        "sheet", "Write the ruling sheet of a run with its stills, as one HTML page or as a PDF");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->add_option("-o,--out", options->out,
                        "Where to write it; a PDF where it ends in .pdf; beside the meet file by default");
    command->add_option("--pdf", options->pdf, "Write it as a PDF to this file");
    add_paper_option(*command, options->paper);
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
