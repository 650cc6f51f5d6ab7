// The one program: the command line, and behind 'desk' (or no subcommand at all) the window.
#include <cstdio>
#include <filesystem>
#include <string>

#include "cli/command_line.h"
#include "desk/desk.h"

namespace {

namespace fs = std::filesystem;
using plumbmark::cli::DeskRequest;

plumbmark::desk::Theme theme_of(const std::string& word) {
    if (word == "light") return plumbmark::desk::Theme::light;
    if (word == "contrast") return plumbmark::desk::Theme::high_contrast;
    return plumbmark::desk::Theme::dark;
}

/// The sample meet lies in sample_clips beside the sources that this program was built from, or beside the
/// program.
fs::path sample_meet(const char* program) {
    std::error_code ignored;
    const fs::path here = fs::weakly_canonical(fs::path(program), ignored).parent_path();
    for (const fs::path& folder : {here / "sample_clips", here.parent_path() / "sample_clips"}) {
        if (fs::exists(folder / "pier-nine.meet", ignored)) return folder / "pier-nine.meet";
    }
    return {};
}

int draw_picture(const DeskRequest& request) {
    plumbmark::desk::DeskPictureOptions options;
    options.width = request.width;
    options.height = request.height;
    options.scale = request.scale > 0 ? request.scale : 1.0;
    options.theme = theme_of(request.theme);
    options.run = request.run;
    options.clip = request.clip;
    options.frame = request.frame;
    options.page = request.page;
    if (request.files.size() != 1) {
        std::fputs(
            "plumbmark: name one meet file to draw a picture of, as in 'plumbmark desk MEETFILE --picture "
            "OUT.png'\n",
            stderr);
        return 2;
    }
    const auto drawn = plumbmark::desk::draw_desk_picture(request.files.front(), *request.picture, options);
    if (drawn) return 0;
    std::fprintf(stderr, "plumbmark: %s\n", drawn.error().text().c_str());
    return 5;
}

}  // namespace

int main(int argc, char** argv) {
    return plumbmark::cli::run_command_line(argc, argv, [argv](const DeskRequest& request) {
        if (request.picture) return draw_picture(request);
        plumbmark::desk::DeskOptions options;
        options.files = request.files;
        options.width = request.width;
        options.height = request.height;
        options.scale = request.scale;
        if (!request.theme.empty()) options.theme = theme_of(request.theme);
        options.sample_meet = sample_meet(argv[0]);
        return plumbmark::desk::run_desk(options);
    });
}
