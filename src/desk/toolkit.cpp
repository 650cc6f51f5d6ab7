#include "desk/internal/toolkit.h"

#include <backends/imgui_impl_opengl3.h>

namespace plumbmark::desk {

Toolkit::Toolkit() {
    IMGUI_CHECKVERSION();
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    // Nothing of the window is kept in files beside the program.
    io.IniFilename = nullptr;
    io.LogFilename = nullptr;
    io.ConfigFlags |= ImGuiConfigFlags_NoMouseCursorChange;
}

Toolkit::~Toolkit() {
    if (started_) ImGui_ImplOpenGL3_Shutdown();
    ImGui::DestroyContext();
}

bool Toolkit::start() {
    started_ = ImGui_ImplOpenGL3_Init("#version 130");
    return started_;
}

void Toolkit::upload_fonts() {
    ImGui_ImplOpenGL3_DestroyFontsTexture();
    ImGui_ImplOpenGL3_CreateFontsTexture();
}

void Toolkit::new_frame() {
    ImGui_ImplOpenGL3_NewFrame();
    ImGui::NewFrame();
    input_waiting_ = queued_input();
}

void Toolkit::render() {
    ImGui::Render();
    ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

}  // namespace plumbmark::desk
