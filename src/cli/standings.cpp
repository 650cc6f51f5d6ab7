// plumbmark standings MEETFILE: the standings as they are, and giving them out.
#include <fmt/format.h>

#include "cli/internal/competition.h"
#include "cli/internal/paper.h"
#include "cli/internal/sealing.h"
#include "store/csv.h"

namespace plumbmark::cli {
namespace {

struct StandingsOptions {
    std::string meet, round, division, out, note;
    std::string pdf, paper = "a4";
    bool json = false, csv = false, html = false;
    bool announce = false, publish = false, no_seal = false;
    PassphraseOptions passphrase;
};

std::string text_of(const StandingsOptions& options, const report::StandingsDocument& document) {
    if (options.json) return report::standings_json(document);
    if (options.csv) return store::write_csv(report::standings_table(document));
    if (options.html) return report::standings_html(document);
    return report::standings_text(document);
}

base::Result<meet::State> give_out(const StandingsOptions& options) {
    return review::change_meet(options.meet, [&](const meet::State& state) -> base::Result<meet::Change> {
        const auto wish = read_wish(state, options.round, options.division);
        if (!wish) return wish.error();
        review::MeetCourses courses(state);
        return review::publication_change(state, courses, *wish, options.publish, review::now(),
                                          options.note);
    });
}

int give(const StandingsOptions& options, const std::string& text) {
    if (options.out.empty()) {
        fmt::print("{}", text);
        return kDone;
    }
    const base::Result<void> written = write_file(options.out, text);
    return written ? kDone : complain(written.error());
}

/// What official results are sealed with, or why they are not.
struct PublishingKey {
    std::optional<store::SecretKey> key;
    std::string why_not;  ///< a sentence; empty where there is a key, or nothing is published
};

/// Opened before the results are given out: a wrong passphrase then changes nothing.
base::Result<PublishingKey> key_for_publishing(const StandingsOptions& options) {
    const auto unsealed = [](std::string why) { return PublishingKey{std::nullopt, std::move(why)}; };
    if (!options.publish) return unsealed("");
    if (options.no_seal) return unsealed("--no-seal was given.");
    const base::Result<meet::State> state = read_meet(options.meet);
    if (!state) return state.error();
    const auto key = review::key_in_force(*state);
    if (!key) return unsealed("the meet has no signing key (plumbmark seal --new-key).");
    if (!passphrase_is_given(options.passphrase) && !passphrase_can_be_asked())
        return unsealed("no passphrase was given, and there is no terminal to ask for it.");
    base::Result<store::SecretKey> opened = open_signing_key(*key, options.passphrase);
    if (opened) return PublishingKey{std::move(*opened), ""};
    const bool can_be_without = opened.error().category == base::Category::cancelled ||
                                opened.error().category == base::Category::not_found;
    if (can_be_without) return unsealed(opened.error().sentence);
    return opened.error();
}

/// Gives the standings out, seals what was given out, and says it, or why not.
base::Result<meet::State> give_out_sealed(const StandingsOptions& options) {
    const base::Result<PublishingKey> sealing = key_for_publishing(options);
    if (!sealing) return sealing.error();
    base::Result<meet::State> state = give_out(options);
    if (!state) return state;
    if (!sealing->why_not.empty())
        fmt::print(stderr, "plumbmark: The results are not sealed: {}\n", sealing->why_not);
    if (!sealing->key) return state;
    const auto sealed =
        review::seal_journal(options.meet, *sealing->key, state->publications().rbegin()->first);
    if (sealed)
        fmt::print(stderr, "plumbmark: The results are sealed: {}\n", sealed->line);
    else
        fmt::print(stderr, "plumbmark: The results are given out and NOT sealed: {}\n",
                   sealed.error().text());
    return state;
}

int standings(const StandingsOptions& options) {
    const bool gives_out = options.announce || options.publish;
    const base::Result<meet::State> state = gives_out ? give_out_sealed(options) : read_meet(options.meet);
    if (!state) return complain(state.error());
    const auto wish = read_wish(*state, options.round, options.division);
    if (!wish) return complain(wish.error());
    review::MeetCourses courses(*state);
    const report::StandingsDocument document = review::standings_document(*state, courses, *wish);
    if (!options.pdf.empty()) {
        const int code = put_out(options.pdf, report::standings_pdf(document, paper_size(options.paper)));
        if (code != kDone || options.out.empty()) return code;
    }
    return give(options, text_of(options, document));
}

}  // namespace

void add_standings(CLI::App& program, Action& action) {
    auto options = std::make_shared<StandingsOptions>();
    CLI::App* command =
        program.add_subcommand("standings", "The standings of a meet as they are now, and giving them out");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    command->add_option("--round", options->round, "This round alone, by name or number");
    command->add_option("--division", options->division, "This division alone, by key");
    CLI::Option* json = command->add_flag("--json", options->json, "As JSON");
    CLI::Option* csv =
        command->add_flag("--csv", options->csv, "As a table for spreadsheets")->excludes(json);
    command->add_flag("--html", options->html, "As a page")->excludes(json)->excludes(csv);
    command->add_option("--out", options->out, "Write it to this file");
    command->add_option("--pdf", options->pdf, "Print them as a PDF to this file");
    add_paper_option(*command, options->paper);
    CLI::Option* announce = command->add_flag("--announce", options->announce,
                                              "Give them out provisionally: the time for appeals begins");
    CLI::Option* publish = command
                               ->add_flag("--publish", options->publish,
                                          "Give them out as official; refused while something is awaited")
                               ->excludes(announce);
    command
        ->add_flag("--no-seal", options->no_seal, "Do not sign what is published, though the meet has a key")
        ->needs(publish);
    add_passphrase_option(*command, options->passphrase);
    command->add_option("--note", options->note, "Why they differ from those given out before");
    command->callback([options, &action] { action = [options] { return standings(*options); }; });
}

}  // namespace plumbmark::cli
