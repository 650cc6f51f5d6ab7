// What floor entry costs on the desk in a large meet:
//
//   measure-floor BOOK [RUNS]
//
// Makes a meet of RUNS runs (600) under the course book in a temporary folder, draws the page at 1920 x 1080
// without a display, and prints medians and the worst twentieth in milliseconds: a frame with nothing to do,
// a step to the next row with its frame, and a call with the change, the table made anew and its frame.
#include <fmt/format.h>
#include <GL/gl.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>

#include "desk/internal/desk_core.h"
#include "desk/internal/gl_canvas.h"
#include "desk/internal/toolkit.h"
#include "support/temporary_folder.h"

using namespace plumbmark;
namespace fs = std::filesystem;

namespace {

base::Result<void> make_meet(const fs::path& path, const std::string& book, int runs) {
    auto session = review::Session::create(path, {"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"});
    if (!session) return session.error();
    if (auto added = (*session)->add_book("course", book); !added) return added.error();
    meet::Change change{"start list", {}, 0};
    change.edits.push_back({std::nullopt, meet::Division{{1}, "u14", "Under 14", {}, {}, "", ""}});
    change.edits.push_back({std::nullopt, meet::Round{{1}, "Final", meet::RoundKind::final, 1}});
    for (std::int64_t n = 1; n <= runs; ++n) {
        change.edits.push_back(
            {std::nullopt,
             meet::Athlete{{n}, std::to_string(n), fmt::format("Athlete {}", n), "Quay", "u14"}});
        meet::Entry entry;
        entry.id = {n};
        entry.athlete = {n};
        entry.round = {1};
        entry.heat = static_cast<std::int32_t>(1 + (n - 1) / 10);
        entry.start = static_cast<std::int32_t>(1 + (n - 1) % 10);
        change.edits.push_back({std::nullopt, entry});
    }
    if (auto done = (*session)->apply(change); !done) return done;
    // Half of the floor has its calls already, so that the page has what it will have by noon.
    review::MeetCourses courses((*session)->state());
    for (std::int64_t n = 1; n <= runs / 2; ++n) {
        const course::CourseBook* course = courses.of_entry({n});
        if (course == nullptr) return base::Error{base::Category::bad_input, "The book has no course.", book};
        meet::FloorLine line;
        line.entry = {n};
        line.judge = "judge";
        for (const course::Station& station : course->stations)
            line.calls[station.key] = meet::Call::clear;
        line.times[""] = {base::Duration{20'000'000'000 + n * 10'000'000}};
        const auto made = meet::floor_change((*session)->state(), *course, line);
        if (!made) return made.error();
        if (auto done = (*session)->apply(*made); !done) return done;
    }
    return (*session)->flush();
}

void print(const char* what, std::vector<double> took) {
    std::sort(took.begin(), took.end());
    fmt::print("{:<34} median {:6.2f} ms   95 % {:6.2f} ms\n", what, took[took.size() / 2],
               took[took.size() * 19 / 20]);
}

std::vector<double> timed(int rounds, const std::function<void()>& work) {
    std::vector<double> took;
    for (int i = 0; i < rounds; ++i) {
        const auto begun = std::chrono::steady_clock::now();
        work();
        took.push_back(
            std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count());
    }
    return took;
}

int measure(const std::string& book_file, int runs) {
    std::ifstream file(book_file, std::ios::binary);
    const std::string book((std::istreambuf_iterator<char>(file)), {});
    const test::TemporaryFolder folder;
    const fs::path meet_file = folder / "floor.meet";
    if (const auto made = make_meet(meet_file, book, runs); !made) {
        fmt::print(stderr, "measure-floor: {}\n", made.error().text());
        return 1;
    }
    auto canvas = desk::GlCanvas::create(1920, 1080);
    desk::Toolkit toolkit;
    if (!canvas || !toolkit.start()) {
        fmt::print(stderr, "measure-floor: there is no OpenGL 3 to draw with\n");
        return 1;
    }
    desk::DeskOptions options;
    options.keys_file = "/dev/null";
    options.scale = 1;
    desk::DeskCore core(options, [] {});
    core.open_path(meet_file);
    ImGui::GetIO().DisplaySize = {1920, 1080};
    ImGui::GetIO().DeltaTime = 1.0F / 60;
    core.build_fonts_now();
    toolkit.upload_fonts();
    core.show_meet_page("floor-entry");
    double now = 0;
    const auto frame = [&] {
        core.update(now += 1.0 / 60);
        (*canvas)->begin();
        toolkit.new_frame();
        core.draw(1920, 1080);
        toolkit.render();
        glFinish();
        core.carry_out_commands();
    };
    const auto press = [&](int key) {
        core.key(key, 0, false);
        frame();
    };
    for (int i = 0; i < 10; ++i)
        frame();
    fmt::print("{} runs, 1920 x 1080\n", runs);
    print("a frame", timed(200, frame));
    print("a row further, drawn", timed(200, [&] { press(desk::key_down); }));
    print("a call, kept and drawn",
          timed(200, [&] { press(core.session()->changes() % 2 == 0 ? 'C' : 'F'); }));
    const auto done = core.finish();
    return done ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 2 || argc > 3) {
        fmt::print(stderr, "measure-floor BOOK [RUNS]: what floor entry costs on the desk\n");
        return 2;
    }
    return measure(argv[1], argc == 3 ? std::max(2, std::atoi(argv[2])) : 600);
}
