#define GL_GLEXT_PROTOTYPES
#include "desk/internal/tone_shader.h"

#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <cmath>

#include "desk/internal/gl_program.h"

namespace plumbmark::desk {
namespace {

// The inputs and the matrix have the names that the toolkit's own program gives them: it has set them up when
// this one takes its place.
constexpr const char* kVertex = R"(#version 130
uniform mat4 ProjMtx;
in vec2 Position;
in vec2 UV;
in vec4 Color;
out vec2 place;
out vec4 tint;
void main() {
    place = UV;
    tint = Color;
    gl_Position = ProjMtx * vec4(Position, 0.0, 1.0);
}
)";

constexpr const char* kFragment = R"(#version 130
uniform sampler2D Texture;
uniform float power, spread;
in vec2 place;
in vec4 tint;
out vec4 shown;
void main() {
    vec4 c = texture(Texture, place);
    vec3 lifted = pow(c.rgb, vec3(power));
    shown = tint * vec4(clamp((lifted - 0.5) * spread + 0.5, 0.0, 1.0), c.a);
}
)";

double power_of(const Tone& tone) {
    return std::exp2(-tone.brightness / 4.0);
}
double spread_of(const Tone& tone) {
    return std::exp2(tone.contrast / 4.0);
}

/// Links the program so that its inputs lie where the toolkit's own program has them.
unsigned program_beside(unsigned toolkit) {
    std::vector<const char*> inputs(8, nullptr);
    std::size_t most = 0;
    for (const char* name : {"Position", "UV", "Color"}) {
        const GLint at = glGetAttribLocation(toolkit, name);
        if (at < 0 || static_cast<std::size_t>(at) >= inputs.size()) return 0;
        inputs[static_cast<std::size_t>(at)] = name;
        most = std::max(most, static_cast<std::size_t>(at) + 1);
    }
    inputs.resize(most);
    for (const char*& name : inputs)
        if (!name) name = "nothing";
    return linked_program(kVertex, kFragment, inputs);
}

}  // namespace

double toned(double value, const Tone& tone) {
    return std::clamp((std::pow(value, power_of(tone)) - 0.5) * spread_of(tone) + 0.5, 0.0, 1.0);
}

ToneShader::~ToneShader() {
    if (program_) glDeleteProgram(program_);
}

void ToneShader::begin(ImDrawList* list, const Tone& tone) {
    if (tone.plain()) return;
    Asked& asked = asked_[next_++ % kMostAtOnce];
    asked = {this, tone};
    list->AddCallback(&ToneShader::use, &asked);
}

void ToneShader::end(ImDrawList* list, const Tone& tone) {
    if (!tone.plain()) list->AddCallback(ImDrawCallback_ResetRenderState, nullptr);
}

void ToneShader::use(const ImDrawList*, const ImDrawCmd* command) {
    const Asked& asked = *static_cast<const Asked*>(command->UserCallbackData);
    asked.shader->use(asked.tone);
}

void ToneShader::use(const Tone& tone) {
    GLint toolkit = 0;
    glGetIntegerv(GL_CURRENT_PROGRAM, &toolkit);
    if (!tried_) program_ = program_beside(static_cast<unsigned>(toolkit));
    tried_ = true;
    if (!program_) return;
    float matrix[16] = {};
    glGetUniformfv(static_cast<unsigned>(toolkit),
                   glGetUniformLocation(static_cast<unsigned>(toolkit), "ProjMtx"), matrix);
    glUseProgram(program_);
    glUniformMatrix4fv(glGetUniformLocation(program_, "ProjMtx"), 1, GL_FALSE, matrix);
    glUniform1i(glGetUniformLocation(program_, "Texture"), 0);
    glUniform1f(glGetUniformLocation(program_, "power"), static_cast<float>(power_of(tone)));
    glUniform1f(glGetUniformLocation(program_, "spread"), static_cast<float>(spread_of(tone)));
}

}  // namespace plumbmark::desk
