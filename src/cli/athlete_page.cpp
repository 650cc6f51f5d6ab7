// plumbmark athlete-page MEETFILE: a run laid open for its athlete, with notes, stills and plots.
#include "review/athlete_page.h"

#include <fmt/format.h>

#include "cli/internal/interrupt.h"
#include "cli/internal/paper.h"

namespace plumbmark::cli {
namespace {

using base::Result;

struct PageOptions {
    std::string meet, run, group, html, pdf, clips;
    std::vector<std::string> against;
    std::string paper = "a4";
};

Result<review::AthletePageWish> wish_of(const review::Session& session, const PageOptions& options) {
    review::AthletePageWish wish;
    wish.division = options.group;
    // A terminal shows no pictures.
    wish.pictures = !options.html.empty() || !options.pdf.empty();
    for (const std::string& wanted : options.against) {
        const Result<meet::RunId> run = find_run(session.state(), wanted);
        if (!run) return base::Error{run.error().category, run.error().sentence, "--against"};
        wish.against.push_back(*run);
    }
    return wish;
}

Result<report::AthletePage> make(const PageOptions& options, const std::stop_token& stop) {
    auto session = open_run(options.meet, options.run, true);
    if (!session) return session.error();
    auto wish = wish_of(**session, options);
    if (!wish) return wish.error();
    ProgressLine line("making the page");
    wish->stop = stop;
    wish->progress = [&line](double share) { line.show(share); };
    auto page = review::athlete_page(**session, *wish);
    if (!page || options.clips.empty()) return page;
    ProgressLine writing("writing clips");
    const auto clips = review::write_short_clips(
        **session, *page, options.clips, [&writing](double share) { writing.show(share); }, stop);
    if (!clips) return clips.error();
    for (const std::filesystem::path& file : clips->files)
        fmt::print(stderr, "{}\n", file.string());
    for (const base::Sentence& one : clips->notices)
        fmt::print(stderr, "{}\n", one.english());
    for (const base::Sentence& one : clips->faces)
        if (!one.empty()) fmt::print(stderr, "{}\n", one.english());
    return page;
}

int run(const PageOptions& options) {
    const Interrupt interrupt;
    const Result<report::AthletePage> page = make(options, interrupt.token());
    if (interrupt.asked() && !page) return complain(cancelled());
    if (!page) return complain(page.error());
    if (options.html.empty() && options.pdf.empty()) fmt::print("{}", report::athlete_page_text(*page));
    int code = kDone;
    if (!options.html.empty()) code = put_out(options.html, report::athlete_page_html(*page));
    if (code == kDone && !options.pdf.empty())
        code = put_out(options.pdf, report::athlete_page_pdf(*page, paper_size(options.paper)));
    return code;
}

}  // namespace

void add_athlete_page(CLI::App& program, Action& action) {
    auto options = std::make_shared<PageOptions>();
    CLI::App* command = program.add_subcommand("athlete-page",
                                               "A run laid open for its athlete, with the coach's notes, "
                                               "stills and plots: as an HTML page, as a PDF, "
                                               "or as text");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet); it is only read")->required();
    command->add_option("--run", options->run, "The run, by label or number; the first by default");
    command->add_option("--against", options->against, "Hold it against this run; give it once for each");
    command->add_option("--group", options->group,
                        "Hold it against the other runs of this division, by its key");
    command->add_option("--html", options->html, "Write it as one HTML page to this file");
    command->add_option("--pdf", options->pdf, "Write it as a PDF to this file");
    add_paper_option(*command, options->paper);
    command->add_option(
        "--clips", options->clips,
        "Write a clip of each note into this folder, a second before its frame and one after it");
    command->callback([options, &action] { action = [options] { return run(*options); }; });
}

}  // namespace plumbmark::cli
