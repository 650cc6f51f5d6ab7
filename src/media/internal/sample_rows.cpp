#include "media/internal/sample_rows.h"

#include <algorithm>
#include <bit>
#include <cmath>

// The loops are compiled for wider registers too and the machine picks; the results are the same, since
// nothing is reordered or fused. Not where a sanitizer's start-up would come after that choice.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define PLUMBMARK_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define PLUMBMARK_WIDE
#endif

namespace plumbmark::media {
namespace {

// Between two rows of samples: first * a + second * b.
struct Blend {
    float first, second;
};

template <class Sample>
[[gnu::always_inline]] inline void blend(const Sample* a, const Sample* b, Blend share, int n, int together,
                                         float* out) {
    if (together == 1) {
        for (int i = 0; i < n; ++i)
            out[i] = static_cast<float>(a[i]) * share.first + static_cast<float>(b[i]) * share.second;
    } else {
        for (int i = 0; i < n; ++i)
            out[i] = static_cast<float>(a[2 * i]) * share.first + static_cast<float>(b[2 * i]) * share.second;
    }
}

template <class Sample>
[[gnu::always_inline]] inline void widen(const Sample* a, int n, int together, float* out) {
    if (together == 1) {
        for (int i = 0; i < n; ++i)
            out[i] = static_cast<float>(a[i]);
    } else {
        for (int i = 0; i < n; ++i)
            out[i] = static_cast<float>(a[2 * i]);
    }
}

PLUMBMARK_WIDE void blend_bytes(const std::uint8_t* a, const std::uint8_t* b, Blend share, int n,
                                int together, float* out) {
    blend(a, b, share, n, together, out);
}
PLUMBMARK_WIDE void blend_words(const std::uint16_t* a, const std::uint16_t* b, Blend share, int n,
                                int together, float* out) {
    blend(a, b, share, n, together, out);
}
PLUMBMARK_WIDE void widen_bytes(const std::uint8_t* a, int n, int together, float* out) {
    widen(a, n, together, out);
}
PLUMBMARK_WIDE void widen_words(const std::uint16_t* a, int n, int together, float* out) {
    widen(a, n, together, out);
}

// Colour samples to luma's places: 'narrow' begins with the sample before the first.
PLUMBMARK_WIDE void spread_by_two(const float* narrow, int n, int from0, Blend share0, int from1,
                                  Blend share1, float* out) {
    for (int k = 0; k < n; ++k) {
        out[2 * k] = narrow[k + from0] * share0.first + narrow[k + from0 + 1] * share0.second;
        out[2 * k + 1] = narrow[k + from1] * share1.first + narrow[k + from1 + 1] * share1.second;
    }
}

// A place between two samples: the one before it, and the shares of both.
struct Between {
    int before;
    Blend share;
};

Between between(double place) {
    const double before = std::floor(place);
    const auto second = static_cast<float>(place - before);
    return {static_cast<int>(before), {1 - second, second}};
}

void spread(const float* narrow, int n, int shift, double first_at, float* out) {
    const int times = 1 << shift;
    const auto at = [&](int phase) { return between((phase - first_at) / times); };
    if (shift == 1) {
        const Between even = at(0), odd = at(1);
        spread_by_two(narrow, n, even.before + 1, even.share, odd.before + 1, odd.share, out);
        return;
    }
    for (int phase = 0; phase < times; ++phase) {
        const Between b = at(phase);
        for (int k = 0; k < n; ++k)
            out[times * k + phase] =
                narrow[k + b.before + 1] * b.share.first + narrow[k + b.before + 2] * b.share.second;
    }
}

// To 0 to 'most'. By value: the library's clamp goes through references, which keeps loops from being
// widened.
[[gnu::always_inline]] inline float cut(float v, float most) {
    v = v > 0 ? v : 0;
    return v < most ? v : most;
}

[[gnu::always_inline]] inline float larger(float a, float b) {
    return a > b ? a : b;
}

[[gnu::always_inline]] inline std::uint32_t packed(float r, float g, float b) {
    const auto byte = [](float v) {
        return static_cast<std::uint32_t>(static_cast<int>(cut(v, 255) + 0.5F));
    };
    if constexpr (std::endian::native == std::endian::little)
        return byte(r) | byte(g) << 8 | byte(b) << 16 | 0xFF000000U;
    return byte(r) << 24 | byte(g) << 16 | byte(b) << 8 | 0xFFU;
}

// m: rows of R'G'B' times 255.
PLUMBMARK_WIDE void show_codes(const float* a, const float* b, const float* c, const float* m, int n,
                               std::uint32_t* out) {
    const float m0 = m[0], m1 = m[1], m2 = m[2], m3 = m[3], m4 = m[4], m5 = m[5], m6 = m[6], m7 = m[7],
                m8 = m[8], m9 = m[9], m10 = m[10], m11 = m[11];
    for (int i = 0; i < n; ++i)
        out[i] = packed(m0 * a[i] + m1 * b[i] + m2 * c[i] + m3, m4 * a[i] + m5 * b[i] + m6 * c[i] + m7,
                        m8 * a[i] + m9 * b[i] + m10 * c[i] + m11);
}

// The steps of media/hdr.h go through short stretches of a row one after another: what is reckoned can be
// widened, what is looked up cannot.
constexpr int kStretch = 256;

struct Stretch {
    float red[kStretch], green[kStretch], blue[kStretch], system[kStretch], gain[kStretch];
    int place[kStretch];
};

[[gnu::always_inline]] inline int step_at(float x) {
    return static_cast<int>(cut(x, 1) * (kHdrSteps - 1) + 0.5F);
}

[[gnu::always_inline]] inline void look_up(const float* table, const int* place, int n, float* out) {
    for (int i = 0; i < n; ++i)
        out[i] = table[place[i]];
}

struct HdrLook {
    const float *light, *ootf, *gain, *code;
    const float *weights, *to_709;
};

[[gnu::always_inline]] inline void light_of(const float* a, const float* b, const float* c, const float* m,
                                            const float* table, int n, int* place, float* out) {
    const float m0 = m[0], m1 = m[1], m2 = m[2], m3 = m[3];
    for (int i = 0; i < n; ++i)
        place[i] = step_at(m0 * a[i] + m1 * b[i] + m2 * c[i] + m3);
    look_up(table, place, n, out);
}

[[gnu::always_inline]] inline void code_of(const Stretch& s, const float* row, const float* table, int n,
                                           int* place, float* out) {
    const float p0 = row[0], p1 = row[1], p2 = row[2];
    for (int i = 0; i < n; ++i) {
        const float light = p0 * s.red[i] + p1 * s.green[i] + p2 * s.blue[i];
        place[i] = step_at(std::sqrt(cut(light * s.gain[i], 1)));
    }
    look_up(table, place, n, out);
}

template <bool scene>
[[gnu::always_inline]] inline void show_stretch(const float* a, const float* b, const float* c,
                                                const float* m, const HdrLook& look, int n,
                                                std::uint32_t* out, Stretch& s) {
    light_of(a, b, c, m, look.light, n, s.place, s.red);
    light_of(a, b, c, m + 4, look.light, n, s.place, s.green);
    light_of(a, b, c, m + 8, look.light, n, s.place, s.blue);
    if constexpr (scene) {
        const float w0 = look.weights[0], w1 = look.weights[1], w2 = look.weights[2];
        for (int i = 0; i < n; ++i)
            s.place[i] = step_at(std::sqrt(cut(w0 * s.red[i] + w1 * s.green[i] + w2 * s.blue[i], 1)));
        look_up(look.ootf, s.place, n, s.system);
    }
    const auto most = [&s](int i) {
        return larger(larger(s.red[i], s.green[i]), s.blue[i]) * (scene ? s.system[i] : 1);
    };
    for (int i = 0; i < n; ++i)
        s.place[i] = step_at(std::sqrt(cut(most(i), 1)));
    look_up(look.gain, s.place, n, s.gain);
    for (int i = 0; i < n; ++i)
        s.gain[i] = s.gain[i] * (scene ? s.system[i] : 1) / larger(1, most(i));
    float shown[3][kStretch];
    for (int k = 0; k < 3; ++k)
        code_of(s, look.to_709 + 3 * k, look.code, n, s.place, shown[k]);
    for (int i = 0; i < n; ++i)
        out[i] = packed(255 * shown[0][i], 255 * shown[1][i], 255 * shown[2][i]);
}

template <bool scene>
[[gnu::always_inline]] inline void show_light(const float* a, const float* b, const float* c, const float* m,
                                              const HdrLook& look, int n, std::uint32_t* out) {
    Stretch stretch;
    for (int i = 0; i < n; i += kStretch)
        show_stretch<scene>(a + i, b + i, c + i, m, look, std::min(kStretch, n - i), out + i, stretch);
}

PLUMBMARK_WIDE void show_hlg(const float* a, const float* b, const float* c, const float* m,
                             const HdrLook& look, int n, std::uint32_t* out) {
    show_light<true>(a, b, c, m, look, n, out);
}

PLUMBMARK_WIDE void show_pq(const float* a, const float* b, const float* c, const float* m,
                            const HdrLook& look, int n, std::uint32_t* out) {
    show_light<false>(a, b, c, m, look, n, out);
}

std::size_t count(int n) {
    return static_cast<std::size_t>(n);
}

}  // namespace

RowMaker::RowMaker(const Samples& samples)
    : samples_(samples), narrow_(count(samples.width + 2)), pixels_(count(samples.width)) {
    for (auto& row : wide_)
        row.resize(count(samples.width + (1 << samples.shift_x)));
    const bool codes = samples.display == Display::codes;
    for (std::size_t i = 0; i < 12; ++i)
        to_rgb_[i] = static_cast<float>(samples.to_rgb[i / 4][i % 4] * (codes ? 255 : 1));
    if (codes) return;
    tables_ = &hdr_tables(samples.display);
    const auto matrix = to_bt709(samples.primaries);
    const auto weights = luminance_weights(samples.primaries);
    for (std::size_t i = 0; i < 9; ++i)
        to_709_[i] = static_cast<float>(matrix[i / 3][i % 3]);
    for (std::size_t i = 0; i < 3; ++i)
        weights_[i] = static_cast<float>(weights[i]);
}

const float* RowMaker::component(std::size_t part, int y) {
    const SamplePart& where = samples_.part[part];
    const SamplePlane& plane = samples_.plane[count(where.plane)];
    const bool fewer_columns = part > 0 && samples_.shift_x > 0,
               fewer_rows = part > 0 && samples_.shift_y > 0;
    float* out = fewer_columns ? narrow_.data() + 1 : wide_[part].data();
    const auto row = [&](int line) {
        return plane.data + std::clamp(line, 0, plane.height - 1) * plane.stride +
               where.channel * plane.bytes;
    };
    const auto words = [](const std::uint8_t* at) { return reinterpret_cast<const std::uint16_t*>(at); };
    if (fewer_rows) {
        const Between b = between((y - samples_.chroma_y) / (1 << samples_.shift_y));
        const std::uint8_t *above = row(b.before), *below = row(b.before + 1);
        if (plane.bytes == 1)
            blend_bytes(above, below, b.share, plane.width, plane.together, out);
        else
            blend_words(words(above), words(below), b.share, plane.width, plane.together, out);
    } else if (plane.bytes == 1) {
        widen_bytes(row(y), plane.width, plane.together, out);
    } else {
        widen_words(words(row(y)), plane.width, plane.together, out);
    }
    if (!fewer_columns) return out;
    narrow_.front() = narrow_[1];
    narrow_[count(plane.width + 1)] = narrow_[count(plane.width)];
    spread(narrow_.data(), plane.width, samples_.shift_x, samples_.chroma_x, wide_[part].data());
    return wide_[part].data();
}

const std::uint32_t* RowMaker::make(int y) {
    const float* a = component(0, y);
    const bool grey = samples_.planes == 1;  // rows 1 and 2 then stay 0
    const float* b = grey ? wide_[1].data() : component(1, y);
    const float* c = grey ? wide_[2].data() : component(2, y);
    if (!tables_) {
        show_codes(a, b, c, to_rgb_.data(), samples_.width, pixels_.data());
    } else {
        const HdrLook look{tables_->light.data(), tables_->ootf.data(), tables_->gain.data(),
                           tables_->code.data(),  weights_.data(),      to_709_.data()};
        const auto show = samples_.display == Display::hlg ? show_hlg : show_pq;
        show(a, b, c, to_rgb_.data(), look, samples_.width, pixels_.data());
    }
    return pixels_.data();
}

}  // namespace plumbmark::media
