#define GL_GLEXT_PROTOTYPES
#include "desk/internal/gl_program.h"

#include <GL/gl.h>
#include <GL/glext.h>

namespace plumbmark::desk {
namespace {

unsigned compiled(GLenum kind, const char* text) {
    const unsigned shader = glCreateShader(kind);
    glShaderSource(shader, 1, &text, nullptr);
    glCompileShader(shader);
    return shader;
}

}  // namespace

unsigned linked_program(const char* vertex_text, const char* fragment_text,
                        const std::vector<const char*>& inputs) {
    const unsigned program = glCreateProgram(), vertex = compiled(GL_VERTEX_SHADER, vertex_text),
                   pixels = compiled(GL_FRAGMENT_SHADER, fragment_text);
    glAttachShader(program, vertex);
    glAttachShader(program, pixels);
    for (unsigned i = 0; i < inputs.size(); ++i)
        glBindAttribLocation(program, i, inputs[i]);
    glLinkProgram(program);
    glDeleteShader(vertex);
    glDeleteShader(pixels);
    GLint fine = 0;
    glGetProgramiv(program, GL_LINK_STATUS, &fine);
    if (fine) return program;
    glDeleteProgram(program);
    return 0;
}

}  // namespace plumbmark::desk
