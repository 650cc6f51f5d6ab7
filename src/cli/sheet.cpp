// plumbmark sheet MEETFILE: writes the ruling sheet of a run.
#include <fmt/format.h>

#include "cli/internal/common.h"
#include "report/ruling_sheet.h"
#include "review/documents.h"

namespace plumbmark::cli {
namespace {

struct SheetOptions {
    std::string meet;
    std::string run;
    std::string out;
};

int run(const SheetOptions& options) {
    auto session = open_run(options.meet, options.run, true);
    if (!session) return complain(session.error());
    base::Result<report::RulingDocument> document = review::ruling_document(**session);
    if (!document) return complain(document.error());
    const std::vector<report::Still> stills = review::ruling_stills(**session, *document);
    std::filesystem::path out = options.out;
    if (out.empty()) {
        out = options.meet;
        out.replace_extension();
        out += "-run-" + std::to_string((*session)->run().value) + "-ruling.html";
    }
    base::Result<void> written = write_file(out, report::ruling_sheet_html(*document, stills));
    if (!written) return complain(written.error());
    fmt::print("{}\n", out.string());
    return kDone;
}

}  // namespace

void add_sheet(CLI::App& program, Action& action) {
    auto options = std::make_shared<SheetOptions>();
    CLI::App* command =
        program.add_subcommand("sheet", "Write the ruling sheet of a run as one HTML page with its stills");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->add_option("-o,--out", options->out, "Where to write it; beside the meet file by default");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
