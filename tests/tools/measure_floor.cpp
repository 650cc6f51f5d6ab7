// What floor entry costs on the desk in a large meet:
//
//   measure-floor BOOK [RUNS [SHOWN]]
//
// Makes a meet of RUNS runs (600) under the course book in a temporary folder, SHOWN of them (all) in the
// last round, which is the one on the page; half of those are called. Draws the page at 1920 x 1080 without a
// display and, where there is one (DISPLAY), into a real window too. Prints medians and the worst twentieth
// in milliseconds, and where the time goes:
//   update   what the page takes from the meet          (processor)
//   build    words, boxes and lines become triangles    (processor)
//   paint    the triangles become pixels                (the renderer: the processor, without a card)
//   present  the pixels are given to the display        (the renderer and the display; a window only)
// An empty frame, cleared and nothing more, says what the renderer and the display cost by themselves.
#include <fmt/format.h>
#define GLFW_INCLUDE_NONE
#include <GL/gl.h>
#include <GLFW/glfw3.h>

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

constexpr int kWide = 1920, kHigh = 1080, kRounds = 120;

struct Plan {
    std::string book;
    std::int64_t runs = 600, shown = 600;
};

/// The runs of one round, as edits: a run each, its calls and its time where it has run.
class StartList {
  public:
    explicit StartList(const course::CourseBook& book) : book_(book) {}

    void add(std::int64_t n, meet::RoundId round, std::int64_t place, bool called) {
        put(meet::Athlete{{n}, std::to_string(n), fmt::format("Athlete {}", n), "Quay", "u14"});
        meet::Entry entry;
        entry.id = {n};
        entry.athlete = {n};
        entry.round = round;
        entry.heat = static_cast<std::int32_t>(1 + place / 10);
        entry.start = static_cast<std::int32_t>(1 + place % 10);
        put(entry);
        if (!called) return;
        meet::Run run;
        run.id = {++runs_};
        run.athlete = {n};
        run.book = {1};
        run.label = fmt::format("run {}", n);
        run.entry = {n};
        put(run);
        for (const course::Station& station : book_.stations) {
            meet::FloorCall call;
            call.id = {++calls_};
            call.run = run.id;
            call.station = station.key;
            call.judge = "judge";
            put(call);
        }
        meet::ClockTime time;
        time.id = {++times_};
        time.run = run.id;
        time.watches = {base::Duration{20'000'000'000 + n * 10'000'000}};
        put(time);
    }
    void put(meet::Entity entity) { change_.edits.push_back({std::nullopt, std::move(entity)}); }
    [[nodiscard]] const meet::Change& change() const { return change_; }

  private:
    const course::CourseBook& book_;
    meet::Change change_{"start list", {}, 0};
    std::int64_t runs_ = 0, calls_ = 0, times_ = 0;
};

base::Result<void> make_meet(const fs::path& path, const Plan& plan) {
    auto session = review::Session::create(path, {"Pier Nine Youth Open", "harbour warehouse", "2026-05-02"});
    if (!session) return session.error();
    if (auto added = (*session)->add_book("course", plan.book); !added) return added.error();
    meet::Run first;
    first.book = {1};
    review::MeetCourses courses((*session)->state());
    const course::CourseBook* book = courses.of(first);
    if (book == nullptr) return base::Error{base::Category::bad_input, "The book has no course.", ""};
    StartList list(*book);
    list.put(meet::Division{{1}, "u14", "Under 14", {}, {}, "", ""});
    list.put(meet::Round{{1}, "Qualification", meet::RoundKind::qualifying, 1});
    list.put(meet::Round{{2}, "Final", meet::RoundKind::final, 2});
    // The round before is called throughout; of the last one half, as it will be by noon.
    const std::int64_t before = plan.runs - plan.shown;
    for (std::int64_t n = 1; n <= plan.runs; ++n)
        list.add(n, {n <= before ? 1 : 2}, n <= before ? n - 1 : n - before - 1,
                 n <= before || n - before <= plan.shown / 2);
    if (auto done = (*session)->apply(list.change()); !done) return done;
    return (*session)->flush();
}

/// Milliseconds of each round, told apart by stage.
class Stages {
  public:
    void begin() { last_ = Clock::now(), sums_.push_back(0); }
    void end(std::size_t stage) {
        const auto now = Clock::now();
        const double took = std::chrono::duration<double, std::milli>(now - last_).count();
        if (stages_.size() <= stage) stages_.resize(stage + 1);
        stages_[stage].push_back(took);
        sums_.back() += took;
        last_ = now;
    }
    void print(const char* what, const std::vector<const char*>& names) {
        fmt::print("{:<28} {:6.2f}  (95 %: {:6.2f})", what, middle(sums_), at(sums_, 19, 20));
        for (std::size_t i = 0; i < names.size(); ++i)
            fmt::print("  {} {:.2f}", names[i], middle(stages_[i]));
        fmt::print("\n");
    }

  private:
    using Clock = std::chrono::steady_clock;
    static double at(std::vector<double> list, std::size_t part, std::size_t of) {
        std::sort(list.begin(), list.end());
        return list[list.size() * part / of];
    }
    static double middle(const std::vector<double>& list) { return at(list, 1, 2); }
    Clock::time_point last_;
    std::vector<std::vector<double>> stages_;
    std::vector<double> sums_;
};

/// Where the desk is drawn: made current, then told when a frame begins and ends.
struct Place {
    std::string name;
    std::function<void()> begin, present;
};

class Measuring {
  public:
    Measuring(const fs::path& meet_file, Place place) : place_(std::move(place)), core_(options(), [] {}) {
        core_.open_path(meet_file);
        ImGui::GetIO().DisplaySize = {kWide, kHigh};
        ImGui::GetIO().DeltaTime = 1.0F / 60;
    }
    [[nodiscard]] bool start() {
        if (!toolkit_.start()) return false;
        core_.build_fonts_now();
        toolkit_.upload_fonts();
        return core_.show_meet_page("floor-entry");
    }

    void all() {
        fmt::print("{}: {}\n", place_.name, reinterpret_cast<const char*>(glGetString(GL_RENDERER)));
        empty();
        Stages warm;
        for (int i = 0; i < 10; ++i) {
            warm.begin();
            frame(warm);
        }
        measure("a frame, nothing new", [] {});
        measure("a row further", [&] { core_.key(desk::key_down, 0, false); });
        bool clear = false;
        measure("a call", [&] { core_.key((clear = !clear) ? 'C' : 'F', 0, false); });
        measure("a call undone", [&] { core_.key('Z', desk::kCtrl, false); });
        const ImDrawData* drawn = ImGui::GetDrawData();
        int commands = 0;
        for (int i = 0; i < drawn->CmdListsCount; ++i)
            commands += drawn->CmdLists[i]->CmdBuffer.Size;
        fmt::print("{} triangles in {} draws\n\n", drawn->TotalIdxCount / 3, commands);
    }
    [[nodiscard]] bool finish() { return core_.finish().ok(); }

  private:
    static desk::DeskOptions options() {
        desk::DeskOptions options;
    options.language = "en";
        options.remember = false;
        options.keys_file = "/dev/null";
        options.scale = 1;
        return options;
    }

    void empty() {
        Stages stages;
        for (int i = 0; i < kRounds; ++i) {
            stages.begin();
            place_.begin();
            glFinish();
            stages.end(0);
            place_.present();
            stages.end(1);
        }
        stages.print("an empty frame", {"paint", "present"});
    }

    void frame(Stages& stages) {
        core_.update(now_ += 1.0 / 60);
        stages.end(0);
        toolkit_.new_frame();
        core_.draw(kWide, kHigh);
        stages.end(1);
        place_.begin();
        toolkit_.render();
        glFinish();
        stages.end(2);
        place_.present();
        stages.end(3);
        core_.carry_out_commands();
    }

    void measure(const char* what, const std::function<void()>& act) {
        Stages stages;
        for (int i = 0; i < kRounds; ++i) {
            stages.begin();
            act();
            frame(stages);
        }
        stages.print(what, {"update", "build", "paint", "present"});
    }

    Place place_;
    desk::Toolkit toolkit_;
    desk::DeskCore core_;
    double now_ = 0;
};

bool measure_at(const fs::path& meet_file, Place place) {
    Measuring measuring(meet_file, std::move(place));
    if (!measuring.start()) {
        fmt::print(stderr, "measure-floor: there is no OpenGL 3 to draw with\n");
        return false;
    }
    measuring.all();
    return measuring.finish();
}

bool without_a_display(const fs::path& meet_file) {
    auto canvas = desk::GlCanvas::create(kWide, kHigh);
    if (!canvas) {
        fmt::print(stderr, "measure-floor: {}\n", canvas.error().text());
        return false;
    }
    return measure_at(meet_file, {"without a display", [&] { (*canvas)->begin(); }, [] {}});
}

bool in_a_window(const fs::path& meet_file) {
    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 0);
    GLFWwindow* window = glfwCreateWindow(kWide, kHigh, "measure-floor", nullptr, nullptr);
    if (window == nullptr) {
        fmt::print(stderr, "measure-floor: the display gives no window with OpenGL 3\n");
        return false;
    }
    glfwMakeContextCurrent(window);
    glfwSwapInterval(0);
    const auto begin = [] {
        glViewport(0, 0, kWide, kHigh);
        glClearColor(0, 0, 0, 1);
        glClear(GL_COLOR_BUFFER_BIT);
    };
    const auto present = [&] {
        glfwSwapBuffers(window);
        glFinish();
    };
    const bool done = measure_at(meet_file, {"in a window", begin, present});
    glfwDestroyWindow(window);
    return done;
}

int measure(const Plan& plan) {
    const test::TemporaryFolder folder;
    const fs::path meet_file = folder / "floor.meet";
    if (const auto made = make_meet(meet_file, plan); !made) {
        fmt::print(stderr, "measure-floor: {}\n", made.error().text());
        return 1;
    }
    fmt::print("{} runs, {} of them shown, {} x {}; milliseconds, medians of {}\n\n", plan.runs, plan.shown,
               kWide, kHigh, kRounds);
    bool done = without_a_display(meet_file);
    if (std::getenv("DISPLAY") != nullptr && glfwInit() == GLFW_TRUE) {
        done = in_a_window(meet_file) && done;
        glfwTerminate();
    }
    return done ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 2 || argc > 4) {
        fmt::print(stderr, "measure-floor BOOK [RUNS [SHOWN]]: what floor entry costs on the desk\n");
        return 2;
    }
    Plan plan;
    std::ifstream file(argv[1], std::ios::binary);
    plan.book.assign(std::istreambuf_iterator<char>(file), {});
    if (argc > 2) plan.runs = std::max(2, std::atoi(argv[2]));
    plan.shown = argc > 3 ? std::clamp<std::int64_t>(std::atoi(argv[3]), 2, plan.runs) : plan.runs;
    return measure(plan);
}
