// The window: events in, frames out.
#define GL_GLEXT_PROTOTYPES
#include <backends/imgui_impl_glfw.h>
#include <GLFW/glfw3.h>

#include <algorithm>
#include <cstdio>
#include <deque>
#include <set>
#include <string>
#include <utility>

#include "desk/crash_report.h"
#include "desk/desk.h"
#include "desk/internal/desk_core.h"
#include "desk/internal/toolkit.h"
#include "desk/own_files.h"
#include "review/documents.h"

#if defined(__SANITIZE_ADDRESS__)
#define PLUMBMARK_HAS_ASAN 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define PLUMBMARK_HAS_ASAN 1
#endif
#endif
#ifndef PLUMBMARK_HAS_ASAN
#define PLUMBMARK_HAS_ASAN 0
#endif

namespace plumbmark::desk {
namespace {

using base::Category;
using base::Error;
using base::Result;

/// Everything that arrives between two frames, in order. The desk's own keys are acted on at once, however
/// many came; the toolkit, which takes one a frame, gets those that belong to a line being written.
struct Event {
    enum class Kind { key, text, drop } kind = Kind::key;
    int key = 0, scancode = 0, action = GLFW_PRESS, mods = 0;
    unsigned code_point = 0;
    std::string path;
};

constexpr int kNamelessKey = 0;

struct Inbox {
    std::deque<Event> events;
};

Inbox& inbox(GLFWwindow* window) {
    return *static_cast<Inbox*>(glfwGetWindowUserPointer(window));
}

void on_key(GLFWwindow* window, int key, int scancode, int action, int mods) {
    // A key without a name here (of another script, of an input method) is a key all the same: the letter
    // that follows is its own, not the one of the key that opened a line.
    if (key == GLFW_KEY_UNKNOWN) key = kNamelessKey;
    inbox(window).events.push_back({Event::Kind::key, key, scancode, action, mods, 0, {}});
}

void on_text(GLFWwindow* window, unsigned code_point) {
    inbox(window).events.push_back({Event::Kind::text, 0, 0, GLFW_PRESS, 0, code_point, {}});
}

void on_drop(GLFWwindow* window, int count, const char** paths) {
    for (int i = 0; i < count; ++i)
        inbox(window).events.push_back({Event::Kind::drop, 0, 0, GLFW_PRESS, 0, 0, paths[i]});
}

Error no_window() {
    const char* why = nullptr;
    (void)glfwGetError(&why);
    std::string sentence =
        "No window can be opened: there is no display, or it has no OpenGL 3. Run this in a desktop session, "
        "or use "
        "'plumbmark rule' and 'plumbmark sheet', which need no display.";
    if (why && *why) sentence += std::string(" (The system says: ") + why + ".)";
    return {Category::unsupported, sentence, ""};
}

class Window {
  public:
    ~Window() {
        core_.reset();  // its textures need the GL context
        if (backend_) ImGui_ImplGlfw_Shutdown();
        toolkit_.reset();
        if (window_) glfwDestroyWindow(window_);
        if (library_) glfwTerminate();
    }

    Result<void> open(const DeskOptions& options) {
        library_ = glfwInit() == GLFW_TRUE;
        if (!library_) return no_window();
        glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
        glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 0);
        // Nothing is drawn in depth; and llvmpipe has a quicker way for a window without it.
        glfwWindowHint(GLFW_DEPTH_BITS, 0);
        glfwWindowHint(GLFW_STENCIL_BITS, 0);
        const auto [width, height] = size_on_screen(options.width, options.height);
        window_ = glfwCreateWindow(width, height, "Plumbmark", nullptr, nullptr);
        if (!window_) return no_window();
        glfwMakeContextCurrent(window_);
        glfwSwapInterval(1);
        glfwSetWindowSizeLimits(window_, 640, 480, GLFW_DONT_CARE, GLFW_DONT_CARE);
        glfwSetWindowUserPointer(window_, &inbox_);
        glfwSetDropCallback(window_, on_drop);
        toolkit_ = std::make_unique<Toolkit>();
        backend_ = ImGui_ImplGlfw_InitForOpenGL(window_, true);
        if (!backend_ || !toolkit_->start()) return no_window();
        // Instead of the toolkit's own: it hears of keys through the inbox.
        glfwSetKeyCallback(window_, on_key);
        glfwSetCharCallback(window_, on_text);
        frame_drawn_ = options.frame_drawn;
        core_ = std::make_unique<DeskCore>(options, [] { glfwPostEmptyEvent(); });
        for (const auto& file : options.files)
            core_->open_path(file);
        return {};
    }

    Result<void> run() {
        int frames_due = 3;  // after an event the toolkit needs a frame to see it and one to settle
        while (!glfwWindowShouldClose(window_) && !core_->leaving()) {
            wait(frames_due > 0);
            frames_due = frames_due > 0 ? frames_due - 1 : 1;
            if (take_events()) frames_due = 2;
            const double begun = glfwGetTime();
            core_->update(begun);
            if (core_->better_drawn_soon()) {
                frames_due = 2;
                continue;
            }
            show_frame();
            if (frame_drawn_) frame_drawn_({glfwGetTime() - begun, core_->next_frame_due().has_value()});
            if (core_->carry_out_commands()) frames_due = 2;
            if (core_->take_full_screen_wish()) toggle_full_screen();
        }
        return core_->finish();
    }

  private:
    /// No larger than what the screen has room for: there it fills the room instead.
    static std::pair<int, int> size_on_screen(int width, int height) {
        GLFWmonitor* monitor = glfwGetPrimaryMonitor();
        int x = 0, y = 0, room_wide = 0, room_high = 0;
        if (monitor) glfwGetMonitorWorkarea(monitor, &x, &y, &room_wide, &room_high);
        if (room_wide <= 0 || room_high <= 0) return {width, height};
        if (width > room_wide || height > room_high) glfwWindowHint(GLFW_MAXIMIZED, GLFW_TRUE);
        return {std::min(width, room_wide), std::min(height, room_high)};
    }

    void wait(bool due) {
        if (core_->better_drawn_soon()) return glfwWaitEventsTimeout(0.005);
        if (due) return glfwPollEvents();
        if (core_->writing() && !core_->line_is_ready()) return glfwWaitEventsTimeout(0.005);
        if (const auto next = core_->next_frame_due())
            return *next > 0.001 ? glfwWaitEventsTimeout(*next) : glfwPollEvents();
        const auto change = core_->next_change();
        // A line being written has a blinking cursor.
        const double blink = ImGui::GetIO().WantTextInput ? 0.25 : 60;
        const double until = change ? std::max(0.01, *change - glfwGetTime()) : blink;
        glfwWaitEventsTimeout(std::min(until, blink));
    }

    bool take_events() {
        const bool any = !inbox_.events.empty();
        while (!inbox_.events.empty() && !must_wait(inbox_.events.front())) {
            const Event event = std::move(inbox_.events.front());
            inbox_.events.pop_front();
            take(event);
        }
        return any;
    }

    /// A line being written gets its letters from the toolkit, a frame later. What comes after them waits for
    /// that: 'Enter' would else keep the line without its last letters.
    bool must_wait(const Event& event) const {
        if (!core_->writing()) return false;
        if (!core_->line_is_ready()) return true;
        return event.kind != Event::Kind::text && toolkit_->has_input_waiting();
    }

    void take(const Event& event) {
        switch (event.kind) {
            case Event::Kind::key:
                take_key(event);
                break;
            case Event::Kind::text:
                if (const auto letter = core_->text(event.code_point)) {
                    ImGui::GetIO().AddInputCharacter(*letter);
                    toolkit_->note_input();
                }
                break;
            case Event::Kind::drop:
                core_->open_path(event.path);
                break;
        }
    }

    void take_key(const Event& event) {
        const bool let_go = event.action == GLFW_RELEASE;
        // A key that was pressed in a line must be let go there too, even when the line is closed by then.
        const bool nameless = event.key == kNamelessKey;
        const bool for_toolkit =
            !nameless && (let_go ? pressed_in_line_.erase(event.key) > 0 : core_->writing());
        if (for_toolkit) {
            ImGui_ImplGlfw_KeyCallback(window_, event.key, event.scancode, event.action, event.mods);
            toolkit_->note_input();
        }
        if (let_go) return;
        if (for_toolkit) pressed_in_line_.insert(event.key);
        core_->set_layout([](int key) {
            const char* name = glfwGetKeyName(key, 0);
            return std::string(name ? name : "");
        });
        core_->key(event.key, event.mods, event.action == GLFW_REPEAT);
    }

    void show_frame() {
        int width = 0, height = 0, inner_width = 0, inner_height = 0;
        glfwGetFramebufferSize(window_, &width, &height);
        glfwGetWindowSize(window_, &inner_width, &inner_height);
        if (width <= 0 || height <= 0) return;  // minimised
        float scale = 1, unused = 1;
        glfwGetWindowContentScale(window_, &scale, &unused);
        // Where the window is measured in larger units than pixels, the toolkit scales by itself.
        const double pixels_per_unit = static_cast<double>(width) / std::max(1, inner_width);
        core_->set_display_scale(scale / pixels_per_unit);
        if (core_->fonts_outdated()) {
            core_->build_fonts_now();
            toolkit_->upload_fonts();
        }
        const std::string title = core_->title();
        if (title != title_) glfwSetWindowTitle(window_, title.c_str());
        title_ = title;
        ImGui_ImplGlfw_NewFrame();
        toolkit_->new_frame();
        core_->draw(ImGui::GetIO().DisplaySize.x, ImGui::GetIO().DisplaySize.y);
        glBindFramebuffer(GL_FRAMEBUFFER, 0);
        glViewport(0, 0, width, height);
        glClearColor(0, 0, 0, 1);
        glClear(GL_COLOR_BUFFER_BIT);
        toolkit_->render();
        glfwSwapBuffers(window_);
    }

    void toggle_full_screen() {
        if (glfwGetWindowMonitor(window_)) {
            glfwSetWindowMonitor(window_, nullptr, place_[0], place_[1], place_[2], place_[3],
                                 GLFW_DONT_CARE);
            return;
        }
        glfwGetWindowPos(window_, &place_[0], &place_[1]);
        glfwGetWindowSize(window_, &place_[2], &place_[3]);
        GLFWmonitor* monitor = glfwGetPrimaryMonitor();
        const GLFWvidmode* mode = monitor ? glfwGetVideoMode(monitor) : nullptr;
        if (mode) glfwSetWindowMonitor(window_, monitor, 0, 0, mode->width, mode->height, mode->refreshRate);
    }

    bool library_ = false, backend_ = false;
    GLFWwindow* window_ = nullptr;
    Inbox inbox_;
    std::set<int> pressed_in_line_;
    std::unique_ptr<Toolkit> toolkit_;
    std::unique_ptr<DeskCore> core_;
    std::string title_;
    std::function<void(const DrawnFrame&)> frame_drawn_;
    int place_[4] = {0, 0, 0, 0};
};

}  // namespace

Result<void> open_desk(const DeskOptions& options) {
    Window window;
    if (auto opened = window.open(options); !opened) return opened;
    return window.run();
}

int run_desk(const DeskOptions& options) {
    // The sanitizers have a report of their own, and want the signals for it.
#if !PLUMBMARK_HAS_ASAN
    if (options.remember) keep_crash_reports(state_folder() / "crashes", review::program_version());
#endif
    const auto result = open_desk(options);
    if (result) return 0;
    std::fprintf(stderr, "plumbmark: %s\n", result.error().text().c_str());
    return 1;
}

}  // namespace plumbmark::desk
