// The run strip's row of sound: how loud it is when, and what became of reading it.
#include "desk/internal/strip_sound.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "desk/internal/clip_sound.h"
#include "desk/internal/say.h"

namespace plumbmark::desk {
namespace {

using Phase = media::SoundScanState::Phase;

/// More would not be told apart, and the toolkit's lists count corners in 16 bits.
constexpr int kMostColumns = 1600;

/// "0:03": minutes and seconds are enough for a remark.
std::string minute_words(base::Time t) {
    std::string text = base::clock_text(t);
    return text.size() > 4 ? text.substr(0, text.size() - 4) : text;
}

void draw_columns(const SoundRowPlace& place, const Look& look, const media::SoundScan& scan,
                  media::SoundRange range, ImDrawList* list) {
    const Box& b = place.box;
    const int count = std::clamp(static_cast<int>(b.w / std::max(1.0F, look.unit(1))), 1, kMostColumns);
    const auto columns = scan.columns(place.from, place.to, count);
    const float wide = b.w / static_cast<float>(count), foot = b.bottom() - look.unit(3);
    const float height = b.h - look.unit(6), hair = std::max(1.0F, look.unit(1));
    const ImU32 loud = ink(look.colours->soft), peak = ink(look.colours->soft, 110);
    for (int n = 0; n < count; ++n) {
        const media::SoundColumn& column = columns[static_cast<std::size_t>(n)];
        if (!column.heard) continue;
        const float x0 = b.x + wide * static_cast<float>(n), x1 = x0 + wide;
        // Silence is a hair line, so that it is told from no sound at all.
        const float body = std::max(hair, height * media::loudness_share(column.rms, range));
        const float tip = height * media::loudness_share(column.peak, range);
        if (tip > body) list->AddRectFilled({x0, foot - tip}, {x1, foot - body}, peak);
        list->AddRectFilled({x0, foot - body}, {x1, foot}, loud);
    }
}

void draw_remark(const SoundRowPlace& place, const Look& look, float x, const std::string& text,
                 ImDrawList* list) {
    const float w = look.words->width(look.fonts.small, text), right = place.box.right() - look.unit(6);
    const float left = std::max(place.box.x + look.unit(6), std::min(x + look.unit(6), right - w));
    list->AddRectFilled({left - look.unit(4), place.box.y + look.unit(4)},
                        {left + w + look.unit(4), place.box.bottom() - look.unit(4)}, ink(look.colours->row));
    look.words->draw(list, look.fonts.small,
                     {left, place.box.y + (place.box.h - Words::line_height(look.fonts.small)) / 2},
                     look.colours->soft, text);
}

}  // namespace

void draw_sound_row(const Scene& scene, const SoundRowPlace& place, ImDrawList* list) {
    const Look& look = scene.look;
    const media::SoundScan* scan = scene.sound.of(scene.session.clip());
    if (!scan) return draw_remark(place, look, place.box.x, tr("this clip has no sound"), list);
    const media::SoundScanState state = scan->poll();
    draw_columns(place, look, *scan, state.range, list);
    if (state.phase != Phase::failed && state.phase != Phase::stopped) return;
    const base::Time until = state.until.value_or(scene.session.current_clip()->table->time(0));
    const double share =
        static_cast<double>((until - place.from).ns) / static_cast<double>((place.to - place.from).ns);
    const float x = place.box.x + place.box.w * static_cast<float>(std::clamp(share, 0.0, 1.0));
    if (until < place.to)
        draw_hatching(list, look, {x, place.box.y + look.unit(6)},
                      {place.box.right(), place.box.bottom() - look.unit(6)}, ink(look.colours->line));
    const std::string minute = minute_words(until);
    draw_remark(place, look, x,
                state.phase == Phase::stopped ? tr("the sound was not read from {} on", minute)
                                              : tr("the sound cannot be read from {} on", minute),
                list);
}

std::string sound_row_name(const Scene& scene) {
    const media::SoundScan* scan = scene.sound.of(scene.session.clip());
    const auto state = scan ? scan->poll() : media::SoundScanState{};
    if (scan && state.phase == Phase::reading)
        return tr("sound {:.0f} % ×", std::floor(state.progress * 100));
    return scene.views.muted ? tr("sound, off") : tr("sound");
}

bool sound_is_being_read(const Scene& scene) {
    const media::SoundScan* scan = scene.sound.of(scene.session.clip());
    return scan && scan->poll().phase == Phase::reading;
}

std::string sound_words(const Scene& scene, base::Time from, base::Time to) {
    const media::SoundScan* scan = scene.sound.of(scene.session.clip());
    if (!scan || from >= to) return {};
    const media::SoundColumn column = scan->columns(from, to, 1).front();
    if (!column.heard) return {};
    return tr("{} · loudest {:.0f} dB below full scale", base::clock_text(from),
              -media::decibels(column.peak));
}

}  // namespace plumbmark::desk
