// plumbmark erase MEETFILE NUMBER: removes an athlete's, or a tester's, personal data on request.
#include <fmt/format.h>

#include <cctype>

#include "cli/internal/common.h"
#include "review/erasure.h"

namespace plumbmark::cli {
namespace {

struct EraseOptions {
    std::string meet, number;
    std::int64_t tester = 0;  ///< 0: an athlete is meant
    bool confirm = false;
};

void print_plan(const review::Erasure& erasure) {
    std::string who = erasure.who;
    who.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(who.front())));
    fmt::print("{}. This goes, and nothing brings it back:\n", who);
    for (const auto& [what, count] : erasure.goes)
        fmt::print("  {} x {}\n", count, what);
    if (erasure.earlier > 0)
        fmt::print("  {} x what such a thing held before, and undo could bring back\n", erasure.earlier);
    if (erasure.nothing_goes()) fmt::print("  nothing: no personal data of theirs is kept here (any more)\n");
    fmt::print("This stays:\n");
    for (const std::string& what : erasure.stays)
        fmt::print("  {}\n", what);
    if (erasure.shared_clips > 0)
        fmt::print("  the names and paths of {} clips, which are other athletes' footage as well\n",
                   erasure.shared_clips);
    fmt::print(
        "Out of reach: the clips' files themselves, copies and backups made earlier, and sheets and lists "
        "that "
        "were given out.\n");
}

int erase(const EraseOptions& options) {
    store::OpenOptions how;
    how.read_only = !options.confirm;
    auto file = store::MeetFile::open(options.meet, how);
    if (!file) return complain(file.error());
    const auto erasure = [&] {
        ProgressLine progress("reading the journal");
        const auto shown = [&](double share) {
            progress.show(share);
            return true;
        };
        if (options.tester > 0) return review::plan_tester_erasure(*file, {options.tester}, shown);
        return review::plan_erasure(*file, options.number, shown);
    }();
    if (!erasure) return complain(erasure.error());
    print_plan(*erasure);
    if (!options.confirm) {
        fmt::print("Nothing was erased yet; with --confirm it is.\n");
        return kDone;
    }
    if (erasure->nothing_goes()) return kDone;
    const auto report = review::erase(*file, *erasure);
    if (!report) return complain(report.error());
    fmt::print("Erased. {}\n", report->sentence);
    return report->whole ? kDone : kFound;
}

}  // namespace

void add_erase(CLI::App& program, Action& action) {
    auto options = std::make_shared<EraseOptions>();
    CLI::App* command = program.add_subcommand(
        "erase",
        "Remove an athlete's or a tester's personal data on request; says first what goes and what stays");
    command->add_option("MEETFILE", options->meet, "The meet file (.meet)")->required();
    auto* number = command->add_option("NUMBER", options->number, "The athlete's number");
    auto* tester = command
                       ->add_option("--tester", options->tester,
                                    "A tester, who has no number: their number in 'trials --json'")
                       ->check(CLI::PositiveNumber);
    number->excludes(tester);
    command->add_flag("--confirm", options->confirm, "Do it; without this nothing is changed");
    command->callback([options, &action] {
        if (options->number.empty() && options->tester == 0) throw CLI::RequiredError("NUMBER or --tester");
        action = [options] { return erase(*options); };
    });
}

}  // namespace plumbmark::cli
