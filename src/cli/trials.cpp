// plumbmark trials MEETFILE: what the testers' trials of each station come to, what is left open, and the
// sheet of releases.
#include "cli/internal/trials.h"

#include <fmt/format.h>

#include "cli/internal/competition.h"
#include "cli/internal/interrupt.h"
#include "cli/internal/paper.h"
#include "meet/testing_words.h"
#include "report/release_sheet.h"
#include "review/trials_told.h"

namespace plumbmark::cli {
namespace {

using base::Category;
using base::Error;
using base::Result;

struct TrialsCall {
    std::string meet, station, division, sex;
    std::string sheet, paper = "a4";
    std::vector<int> ages;
    std::optional<double> bound;
    bool clopper_pearson = false, json = false;
};

Result<std::vector<study::PeopleOfAge>> people_of(const TrialsCall& call, const meet::State& state) {
    std::optional<study::Sex> sex;
    if (!call.sex.empty()) sex = call.sex == "female" ? study::Sex::female : study::Sex::male;
    if (call.ages.empty()) return review::people_of_divisions(state, call.division, sex);
    std::vector<study::PeopleOfAge> people;
    for (const int age : call.ages) {
        for (const study::Sex of : {study::Sex::female, study::Sex::male}) {
            if (!sex || *sex == of) people.push_back({of, age});
        }
    }
    return people;
}

Result<review::TrialBook> book_of(const std::string& meet_file, const meet::State& state,
                                  review::TrialBookWish wish) {
    const Interrupt interrupt;
    ProgressLine reading("reading the clips");
    const auto tables =
        review::trial_tables(std::filesystem::path(meet_file).parent_path(), state, interrupt.token(),
                             [&reading](double share) { reading.show(share); });
    if (!tables) return tables.error();
    ProgressLine line("ruling");
    wish.stopped = [&interrupt] { return interrupt.asked(); };
    wish.progress = [&line](double share) { line.show(share); };
    return review::trial_book(state, review::table_from(*tables), wish);
}

int print_sheet(const TrialsCall& call, const meet::State& state, report::TrialsDocument document) {
    const Interrupt interrupt;
    {
        ProgressLine line("fetching pictures");
        const auto added = review::add_sheet_pictures(
            document, call.meet, state, [&line](double share) { line.show(share); }, interrupt.token());
        if (!added) return complain(added.error());
    }
    return put_out(call.sheet, report::release_sheet_pdf(document, paper_size(call.paper)));
}

int run(const TrialsCall& call) {
    if (call.meet.empty()) {
        fmt::print(stderr, "plumbmark: Name the meet file, or one of the subcommands (--help).\n");
        return kUsage;
    }
    if (!call.sheet.empty() && !is_pdf(call.sheet))
        return complain({Category::bad_input,
                         "The sheet of releases is a PDF: name a file that ends in .pdf.", "--sheet"});
    const Result<meet::State> state = read_meet(call.meet);
    if (!state) return complain(state.error());
    review::TrialBookWish wish;
    wish.station = call.station;
    wish.trials.method = call.clopper_pearson ? study::Method::clopper_pearson : study::Method::wilson;
    wish.trials.bound = call.bound;
    auto people = people_of(call, *state);
    if (!people) return complain(people.error());
    wish.people = std::move(*people);
    const Result<review::TrialBook> book = book_of(call.meet, *state, wish);
    if (!book) return complain(book.error());
    if (!call.sheet.empty()) return print_sheet(call, *state, review::trials_document(*state, *book, wish));
    if (call.json)
        fmt::print("{}", told_as_json({*book, *state, wish.trials, !wish.people.empty()}));
    else
        fmt::print("{}", report::trials_text(review::trials_document(*state, *book, wish)));
    return kDone;
}

}  // namespace

Result<study::StationReport> report_of(const std::string& meet_file, const meet::State& state,
                                       const std::string& station) {
    review::TrialBookWish wish;
    wish.station = station;
    Result<review::TrialBook> book = book_of(meet_file, state, wish);
    if (!book) return book.error();
    return std::move(book->stations.front().report);
}

void add_trials(CLI::App& program, Action& action) {
    auto call = std::make_shared<TrialsCall>();
    CLI::App* command = program.add_subcommand(
        "trials", "What the testers' trials of each station come to, what is open, and what was released");
    command->require_subcommand(0, 1);
    command->add_option("MEETFILE", call->meet, "The meet file (.meet); it is only read");
    command->add_option("--station", call->station, "This station alone, by key");
    command->add_flag("--clopper-pearson", call->clopper_pearson,
                      "Intervals of Clopper and Pearson in place of Wilson's: never too narrow, and wider");
    command
        ->add_option("--bound", call->bound,
                     "How many trials more until the lower end of the rate reaches this, as 0.8")
        ->check(CLI::Range(0.0, 1.0));
    command->add_option("--age", call->ages, "For gaps and reaches: an age in years; give it once for each")
        ->check(CLI::Range(1, 120));
    command->add_option("--division", call->division,
                        "For gaps and reaches: the ages of this division of the meet; all by default");
    command
        ->add_option("--sex", call->sex, "For gaps and reaches: as the tables divide people; both by default")
        ->check(CLI::IsMember(base::words_in(meet::kSexWords)));
    CLI::Option* json = command->add_flag("--json", call->json, "As JSON (docs/trials.schema.json)");
    command
        ->add_option("--sheet", call->sheet,
                     "Print the sheet of releases as a PDF to this file, in place of the text")
        ->excludes(json);
    add_paper_option(*command, call->paper);
    add_trials_entering(*command, action);
    command->callback([call, command, &action] {
        if (command->get_subcommands().empty()) action = [call] { return run(*call); };
    });
}

}  // namespace plumbmark::cli
