// plumbmark desk [FILES]: opens the window, or draws it into a picture.
#include "cli/internal/common.h"

namespace plumbmark::cli {

void add_desk(CLI::App& program, Action& action, const std::function<int(const DeskRequest&)>& open_desk) {
    auto request = std::make_shared<DeskRequest>();
    auto picture = std::make_shared<std::string>();
    auto frame = std::make_shared<std::int64_t>(-1);
    CLI::App* command = program.add_subcommand("desk", "Open the window on a meet, clips or a course book");
    command->add_option("FILES", request->files, "A meet file, clips, a course book");
    command->add_option("--picture", *picture, "Draw the desk into this PNG instead; needs no display");
    command->add_option("--width", request->width, "Width in pixels")->check(CLI::Range(640, 7680));
    command->add_option("--height", request->height, "Height in pixels")->check(CLI::Range(400, 4320));
    command->add_option("--scale", request->scale, "Size of letters and lines, 1 is 100 %")
        ->check(CLI::Range(0.5, 4.0));
    command->add_option("--theme", request->theme, "dark, light or contrast")
        ->check(CLI::IsMember({"dark", "light", "contrast"}));
    command->add_option("--page", request->page, "A page of the meet's own view instead of a run's review")
        ->check(CLI::IsMember({"floor-entry", "appeals", "decide", "standings"}));
    command->add_option("--run", request->run, "The run to show, by label or number");
    command->add_option("--clip", request->clip, "The clip to show, by name");
    command->add_option("--frame", *frame, "The frame to stand at")->check(CLI::NonNegativeNumber);
    command->callback([=, &action] {
        if (!picture->empty()) request->picture = *picture;
        if (*frame >= 0) request->frame = *frame;
        action = [request, open_desk] { return open_desk(*request); };
    });
}

}  // namespace plumbmark::cli
