#include "cli/command_line.h"

#include <fmt/format.h>

#include <exception>

#include "cli/internal/common.h"
#include "review/documents.h"

namespace plumbmark::cli {
namespace {

constexpr const char* kFooter =
    "Exit codes: 0 done, 1 done and the answer is no, 2 wrong options, 3 bad input, 4 not found,\n"
    "5 reading or writing failed, 6 damaged file, 7 cannot be done here, 8 too tangled, 9 cancelled, 10 "
    "busy,\n"
    "11 marks that contradict each other. Without a subcommand the desk opens.";

int parse_and_run(int argc, const char* const* argv,
                  const std::function<int(const DeskRequest&)>& open_desk) {
    CLI::App program("Plumbmark settles what happened on an obstacle-course run, from the footage.",
                     "plumbmark");
    program.set_version_flag("--version", std::string("plumbmark ") + review::program_version());
    program.set_help_flag("-h,--help", "Say what there is and stop");
    program.footer(kFooter);
    program.require_subcommand(0, 1);
    Action action;
    add_desk(program, action, open_desk);
    add_frames(program, action);
    add_check(program, action);
    add_rule(program, action);
    add_sheet(program, action);
    add_briefing(program, action);
    add_cover(program, action);
    add_new(program, action);
    add_add_run(program, action);
    add_marks(program, action);
    add_export(program, action);
    add_capture(program, action);
    add_repeats(program, action);
    add_course(program, action);
    add_what_if(program, action);
    add_compare(program, action);
    add_season(program, action);
    add_athlete_page(program, action);
    add_note(program, action);
    add_tie(program, action);
    add_trials(program, action);
    add_drawings(program, action);
    add_camera(program, action);
    add_lens(program, action);
    add_placing(program, action);
    add_row_delay(program, action);
    add_verify(program, action);
    add_seal(program, action);
    add_divisions(program, action);
    add_enter(program, action);
    add_call(program, action);
    add_standings(program, action);
    add_appeal(program, action);
    add_meet_rules(program, action);
    add_erase(program, action);
    add_backup(program, action);
    add_restore(program, action);
    try {
        program.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        // Help and version come this way too, with exit code 0.
        return program.exit(error) == 0 ? kDone : kUsage;
    }
    return action ? action() : open_desk(DeskRequest{});
}

}  // namespace

int run_command_line(int argc, const char* const* argv,
                     const std::function<int(const DeskRequest&)>& open_desk) {
    try {
        return parse_and_run(argc, argv, open_desk);
    } catch (const std::exception& error) {
        fmt::print(stderr, "plumbmark: something went wrong that should not: {}\n", error.what());
        return exit_code(base::Category::io);
    }
}

}  // namespace plumbmark::cli
