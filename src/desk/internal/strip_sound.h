// The run strip's row of sound, in a file of its own.
#pragma once

#include <string>

#include "base/time.h"
#include "desk/internal/panels.h"

namespace plumbmark::desk {

/// Where the row lies, and the stretch of the clip's clock that it shows (from < to).
struct SoundRowPlace {
    Box box;
    base::Time from, to;
};

/// The current clip's loudness, or why there is none.
void draw_sound_row(const Scene& scene, const SoundRowPlace& place, ImDrawList* list);
/// "sound", with how far it is read, or that it is off.
[[nodiscard]] std::string sound_row_name(const Scene& scene);
[[nodiscard]] bool sound_is_being_read(const Scene& scene);
/// How loud a stretch is, for the pointer; empty where nothing is known.
[[nodiscard]] std::string sound_words(const Scene& scene, base::Time from, base::Time to);

}  // namespace plumbmark::desk
