#define GL_GLEXT_PROTOTYPES
#include "desk/internal/picture_shader.h"

#include <GL/gl.h>
#include <GL/glext.h>

#include <algorithm>
#include <string>

#include "desk/internal/gl_program.h"
#include "media/hdr.h"

namespace plumbmark::desk {
namespace {

constexpr std::size_t kMostPlanes = 12;  // four cameras of one kind each
constexpr int kTableSide = 128;          // a table lies in a square: few cards take it as one row
static_assert(kTableSide * kTableSide == media::kHdrSteps);

constexpr const char* kVertex = R"(#version 130
in vec2 corner;
void main() { gl_Position = vec4(corner, 0.0, 1.0); }
)";

// media/colour.h and media/hdr.h in this language. The samples are fetched and weighed here, since a card's
// own filter may do so in 8 bits.
constexpr const char* kPicture = R"(#version 130
uniform sampler2D part0, part1, part2;
uniform sampler2D light, ootf, gain, code;
uniform ivec2 origin, along_x, along_y;  // upright pixel to stored sample
uniform ivec3 channel;
uniform bool grey, second_is_wide;
uniform ivec2 colour_last;
uniform vec2 colour_step, colour_start;  // luma sample to place among the colour samples
uniform vec4 red, green, blue;
uniform int display;                     // 0 codes, 1 HLG, 2 PQ
uniform vec3 weights, red_709, green_709, blue_709;
out vec4 shown;

float luma(sampler2D plane, ivec2 at, int from) { return texelFetch(plane, at, 0)[from]; }

float between(sampler2D plane, ivec2 at, int from) {
    vec2 place = vec2(at) * colour_step + colour_start;
    vec2 before = floor(place), share = place - before;
    ivec2 low = clamp(ivec2(before), ivec2(0), colour_last);
    ivec2 high = clamp(ivec2(before) + 1, ivec2(0), colour_last);
    float above = mix(texelFetch(plane, low, 0)[from], texelFetch(plane, ivec2(high.x, low.y), 0)[from], share.x);
    float below = mix(texelFetch(plane, ivec2(low.x, high.y), 0)[from], texelFetch(plane, high, 0)[from], share.x);
    return mix(above, below, share.y);
}

float look_up(sampler2D table, float x) {
    int i = int(clamp(x, 0.0, 1.0) * 16383.0 + 0.5);
    return texelFetch(table, ivec2(i & 127, i >> 7), 0).r;
}

vec3 to_sdr(vec3 rgb) {
    vec3 e = vec3(look_up(light, rgb.r), look_up(light, rgb.g), look_up(light, rgb.b));
    if (display == 1) e *= look_up(ootf, sqrt(dot(weights, e)));
    float most = max(max(e.r, e.g), e.b);
    e *= look_up(gain, sqrt(min(1.0, most))) / max(1.0, most);
    vec3 o = max(vec3(0.0), vec3(dot(red_709, e), dot(green_709, e), dot(blue_709, e)));
    return vec3(look_up(code, sqrt(o.r)), look_up(code, sqrt(o.g)), look_up(code, sqrt(o.b)));
}

void main() {
    ivec2 pixel = ivec2(gl_FragCoord.xy);
    ivec2 at = origin + along_x * pixel.x + along_y * pixel.y;
    vec4 parts = vec4(luma(part0, at, channel.x), 0.0, 0.0, 1.0);
    if (!grey) {
        if (second_is_wide) {
            parts.y = luma(part1, at, channel.y);
            parts.z = luma(part2, at, channel.z);
        } else {
            parts.y = between(part1, at, channel.y);
            parts.z = between(part2, at, channel.z);
        }
    }
    vec3 rgb = clamp(vec3(dot(red, parts), dot(green, parts), dot(blue, parts)), 0.0, 1.0);
    if (display != 0) rgb = to_sdr(rgb);
    shown = vec4(rgb, 1.0);
}
)";

constexpr const char* kDifference = R"(#version 130
uniform sampler2D first, second;
out vec4 shown;
void main() {
    ivec2 at = ivec2(gl_FragCoord.xy);
    shown = vec4(4.0 * abs(texelFetch(first, at, 0).rgb - texelFetch(second, at, 0).rgb), 1.0);
}
)";

// What drawing here changes, put back in the end: the toolkit and the window go on as if nothing had been.
class KeptState {
  public:
    KeptState() {
        glGetIntegerv(GL_FRAMEBUFFER_BINDING, &framebuffer_);
        glGetIntegerv(GL_CURRENT_PROGRAM, &program_);
        glGetIntegerv(GL_VERTEX_ARRAY_BINDING, &array_);
        glGetIntegerv(GL_ARRAY_BUFFER_BINDING, &buffer_);
        glGetIntegerv(GL_ACTIVE_TEXTURE, &unit_);
        glGetIntegerv(GL_VIEWPORT, viewport_);
        for (std::size_t i = 0; i < std::size(textures_); ++i) {
            glActiveTexture(static_cast<GLenum>(GL_TEXTURE0 + i));
            glGetIntegerv(GL_TEXTURE_BINDING_2D, &textures_[i]);
        }
        for (std::size_t i = 0; i < std::size(kSwitches); ++i) {
            switches_[i] = glIsEnabled(kSwitches[i]);
            glDisable(kSwitches[i]);
        }
    }
    ~KeptState() {
        for (std::size_t i = 0; i < std::size(kSwitches); ++i)
            if (switches_[i]) glEnable(kSwitches[i]);
        for (std::size_t i = 0; i < std::size(textures_); ++i) {
            glActiveTexture(static_cast<GLenum>(GL_TEXTURE0 + i));
            glBindTexture(GL_TEXTURE_2D, static_cast<GLuint>(textures_[i]));
        }
        glActiveTexture(static_cast<GLenum>(unit_));
        glViewport(viewport_[0], viewport_[1], viewport_[2], viewport_[3]);
        glBindBuffer(GL_ARRAY_BUFFER, static_cast<GLuint>(buffer_));
        glBindVertexArray(static_cast<GLuint>(array_));
        glUseProgram(static_cast<GLuint>(program_));
        glBindFramebuffer(GL_FRAMEBUFFER, static_cast<GLuint>(framebuffer_));
    }
    KeptState(const KeptState&) = delete;
    KeptState& operator=(const KeptState&) = delete;

  private:
    static constexpr GLenum kSwitches[] = {GL_BLEND,        GL_SCISSOR_TEST, GL_DEPTH_TEST,
                                           GL_STENCIL_TEST, GL_CULL_FACE,    GL_DITHER};
    GLint framebuffer_ = 0, program_ = 0, array_ = 0, buffer_ = 0, unit_ = 0, viewport_[4] = {};
    GLint textures_[7] = {};
    GLboolean switches_[std::size(kSwitches)] = {};
};

void sample_exactly() {
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAX_LEVEL, 0);
}

bool can_be_uploaded(const media::Samples& samples) {
    GLint most = 0;
    glGetIntegerv(GL_MAX_TEXTURE_SIZE, &most);
    for (int i = 0; i < samples.planes; ++i) {
        const media::SamplePlane& plane = samples.plane[static_cast<std::size_t>(i)];
        const int place = plane.bytes * plane.together;
        if (plane.stride < plane.width * place || plane.stride % place != 0) return false;
        if (plane.width > most || plane.height > most) return false;
    }
    return true;
}

// Upright pixel to stored sample: at = origin + x * along_x + y * along_y.
struct Turn {
    int origin[2], along_x[2], along_y[2];
};

// The other way round of media's 'mirrored first, then clockwise quarter turns'.
Turn turn_of(const media::Picture& picture) {
    const int right = picture.width() - 1, bottom = picture.height() - 1;
    Turn turn{{0, 0}, {1, 0}, {0, 1}};
    if (picture.quarter_turns() == 1) turn = {{0, bottom}, {0, -1}, {1, 0}};
    if (picture.quarter_turns() == 2) turn = {{right, bottom}, {-1, 0}, {0, -1}};
    if (picture.quarter_turns() == 3) turn = {{right, 0}, {0, 1}, {-1, 0}};
    if (!picture.mirrored()) return turn;
    turn.origin[0] = right - turn.origin[0];
    turn.along_x[0] = -turn.along_x[0];
    turn.along_y[0] = -turn.along_y[0];
    return turn;
}

void bind(GLenum unit, unsigned texture) {
    glActiveTexture(GL_TEXTURE0 + unit);
    glBindTexture(GL_TEXTURE_2D, texture);
}

GLint place(unsigned program, const char* name) {
    return glGetUniformLocation(program, name);
}

void set_row(unsigned program, const char* name, const std::array<double, 3>& row) {
    glUniform3f(place(program, name), static_cast<float>(row[0]), static_cast<float>(row[1]),
                static_cast<float>(row[2]));
}

}  // namespace

PictureShader::PictureShader() = default;

PictureShader::~PictureShader() {
    for (const Plane& plane : planes_)
        glDeleteTextures(1, &plane.name);
    for (const auto& tables : tables_)
        for (const unsigned table : tables)
            if (table) glDeleteTextures(1, &table);
    for (const Program& program : {picture_, difference_})
        if (program.name) glDeleteProgram(program.name);
    if (framebuffer_) glDeleteFramebuffers(1, &framebuffer_);
    if (corners_) glDeleteBuffers(1, &corners_);
    if (array_) glDeleteVertexArrays(1, &array_);
}

bool PictureShader::ready(Program& program, const char* fragment) {
    if (!program.tried) program = {linked_program(kVertex, fragment, {"corner"}), true};
    if (!program.name) return false;
    if (!array_) {
        // One triangle over everything, so that no edge runs through the picture.
        static constexpr float corners[] = {-1, -1, 3, -1, -1, 3};
        glGenVertexArrays(1, &array_);
        glGenBuffers(1, &corners_);
        glGenFramebuffers(1, &framebuffer_);
        glBindVertexArray(array_);
        glBindBuffer(GL_ARRAY_BUFFER, corners_);
        glBufferData(GL_ARRAY_BUFFER, sizeof corners, corners, GL_STATIC_DRAW);
        glEnableVertexAttribArray(0);
        glVertexAttribPointer(0, 2, GL_FLOAT, GL_FALSE, 0, nullptr);
    }
    glUseProgram(program.name);
    return true;
}

// The texture that holds the plane now: one of the same kind is used again, the longest unused first, so that
// the card need not wait for what is drawn from the newest.
unsigned PictureShader::upload(const media::SamplePlane& from) {
    const auto fits = [&](const Plane& p) {
        return p.width == from.width && p.height == from.height && p.bytes == from.bytes &&
               p.together == from.together;
    };
    const auto older = [](const Plane& a, const Plane& b) { return a.used < b.used; };
    const GLenum type = from.bytes == 1 ? GL_UNSIGNED_BYTE : GL_UNSIGNED_SHORT;
    const GLenum format = from.together == 1 ? GL_RED : GL_RG;
    const auto same = std::count_if(planes_.begin(), planes_.end(), fits);
    Plane* plane = nullptr;
    if (same >= 4) {
        for (Plane& p : planes_)
            if (fits(p) && (!plane || older(p, *plane))) plane = &p;
    } else if (planes_.size() >= kMostPlanes) {
        plane = &*std::min_element(planes_.begin(), planes_.end(), older);
    } else {
        plane = &planes_.emplace_back();
        glGenTextures(1, &plane->name);
    }
    glBindTexture(GL_TEXTURE_2D, plane->name);
    if (!fits(*plane)) {
        const GLint kept =
            from.bytes == 1 ? (from.together == 1 ? GL_R8 : GL_RG8) : (from.together == 1 ? GL_R16 : GL_RG16);
        glTexImage2D(GL_TEXTURE_2D, 0, kept, from.width, from.height, 0, format, type, nullptr);
        sample_exactly();
    }
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glPixelStorei(GL_UNPACK_ROW_LENGTH, static_cast<GLint>(from.stride / (from.bytes * from.together)));
    glTexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, from.width, from.height, format, type, from.data);
    glPixelStorei(GL_UNPACK_ROW_LENGTH, 0);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 4);
    *plane = {plane->name, from.width, from.height, from.bytes, from.together, ++clock_};
    return plane->name;
}

const std::array<unsigned, 4>& PictureShader::tables_of(media::Display display) {
    auto& names = tables_[display == media::Display::hlg ? 0 : 1];
    if (names[0]) return names;
    const media::HdrTables& tables = media::hdr_tables(display);
    const media::HdrTable* all[] = {&tables.light, &tables.ootf, &tables.gain, &tables.code};
    glPixelStorei(GL_UNPACK_ALIGNMENT, 4);
    for (std::size_t i = 0; i < 4; ++i) {
        if (all[i]->empty()) continue;
        glGenTextures(1, &names[i]);
        glBindTexture(GL_TEXTURE_2D, names[i]);
        glTexImage2D(GL_TEXTURE_2D, 0, GL_R32F, kTableSide, kTableSide, 0, GL_RED, GL_FLOAT, all[i]->data());
        sample_exactly();
    }
    return names;
}

void PictureShader::set_samples(const media::Samples& samples, const media::Picture& picture) {
    const unsigned program = picture_.name;
    const Turn turn = turn_of(picture);
    glUniform2iv(place(program, "origin"), 1, turn.origin);
    glUniform2iv(place(program, "along_x"), 1, turn.along_x);
    glUniform2iv(place(program, "along_y"), 1, turn.along_y);
    glUniform3i(place(program, "channel"), samples.part[0].channel, samples.part[1].channel,
                samples.part[2].channel);
    glUniform1i(place(program, "grey"), samples.planes == 1);
    glUniform1i(place(program, "second_is_wide"), samples.shift_x == 0 && samples.shift_y == 0);
    const media::SamplePlane& colour = samples.plane[static_cast<std::size_t>(samples.part[1].plane)];
    glUniform2i(place(program, "colour_last"), colour.width - 1, colour.height - 1);
    const float step_x = 1.0F / static_cast<float>(1 << samples.shift_x);
    const float step_y = 1.0F / static_cast<float>(1 << samples.shift_y);
    glUniform2f(place(program, "colour_step"), step_x, step_y);
    glUniform2f(place(program, "colour_start"), -static_cast<float>(samples.chroma_x) * step_x,
                -static_cast<float>(samples.chroma_y) * step_y);
    // The card gives samples as parts of the largest number that they can hold.
    const double most = samples.plane[0].bytes == 1 ? 255 : 65535;
    const char* const rows[] = {"red", "green", "blue"};
    for (std::size_t i = 0; i < 3; ++i) {
        const auto& row = samples.to_rgb[i];
        glUniform4f(place(program, rows[i]), static_cast<float>(row[0] * most),
                    static_cast<float>(row[1] * most), static_cast<float>(row[2] * most),
                    static_cast<float>(row[3]));
    }
    const bool codes = samples.display == media::Display::codes;
    glUniform1i(place(program, "display"), codes ? 0 : samples.display == media::Display::hlg ? 1 : 2);
    if (codes) return;
    set_row(program, "weights", media::luminance_weights(samples.primaries));
    const auto matrix = media::to_bt709(samples.primaries);
    set_row(program, "red_709", matrix[0]);
    set_row(program, "green_709", matrix[1]);
    set_row(program, "blue_709", matrix[2]);
}

bool PictureShader::paint(int width, int height, unsigned texture) {
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_);
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture, 0);
    if (glCheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE) return false;
    glViewport(0, 0, width, height);
    glBindVertexArray(array_);
    glDrawArrays(GL_TRIANGLES, 0, 3);
    // Let go of, so that the texture can be drawn from at once.
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, 0, 0);
    return true;
}

bool PictureShader::knows(const media::Picture& picture) {
    const auto samples = media::samples_of(picture);
    return samples && can_be_uploaded(*samples);
}

bool PictureShader::draw(const media::Picture& picture, unsigned texture) {
    const auto samples = media::samples_of(picture);
    if (!samples || !can_be_uploaded(*samples)) return false;
    const KeptState kept;
    if (!ready(picture_, kPicture)) return false;
    glActiveTexture(GL_TEXTURE0);
    std::array<unsigned, 3> planes{};
    for (std::size_t i = 0; i < static_cast<std::size_t>(samples->planes); ++i)
        planes[i] = upload(samples->plane[i]);
    const bool codes = samples->display == media::Display::codes;
    const std::array<unsigned, 4> tables = codes ? std::array<unsigned, 4>{} : tables_of(samples->display);
    const char* const parts[] = {"part0", "part1", "part2"};
    const char* const looked_up[] = {"light", "ootf", "gain", "code"};
    for (std::size_t i = 0; i < 3; ++i) {
        bind(static_cast<GLenum>(i), planes[static_cast<std::size_t>(samples->part[i].plane)]);
        glUniform1i(place(picture_.name, parts[i]), static_cast<GLint>(i));
    }
    for (std::size_t i = 0; i < 4; ++i) {
        bind(static_cast<GLenum>(3 + i), tables[i]);
        glUniform1i(place(picture_.name, looked_up[i]), static_cast<GLint>(3 + i));
    }
    set_samples(*samples, picture);
    return paint(picture.upright_width(), picture.upright_height(), texture);
}

bool PictureShader::draw_difference(unsigned first, unsigned second, int width, int height,
                                    unsigned texture) {
    const KeptState kept;
    if (!ready(difference_, kDifference)) return false;
    bind(0, first);
    bind(1, second);
    glUniform1i(place(difference_.name, "first"), 0);
    glUniform1i(place(difference_.name, "second"), 1);
    return paint(width, height, texture);
}

}  // namespace plumbmark::desk
