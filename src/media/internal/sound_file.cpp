#include "media/internal/sound_file.h"

#include <algorithm>
#include <utility>

#include "media/internal/stream_info.h"

namespace plumbmark::media {
namespace {

using base::Category;

constexpr const char* kNoSound = base::to_translate("The clip has no sound.");

}  // namespace

bool says_no_sound(const base::Error& error) {
    return error.category == Category::bad_input && error.sentence == kNoSound;
}

base::Result<SoundFile> SoundFile::open(const std::filesystem::path& path, const SoundOptions& options) {
    auto container = Container::open(path, options.stop, options.open_bytes);
    if (!container) return container.error();
    SoundFile made(std::move(*container));
    if (auto chosen = made.choose_sound(options.stream, path); !chosen) return chosen.error();
    return made;
}

base::Result<void> SoundFile::choose_sound(std::optional<int> wanted, const std::filesystem::path& path) {
    streams_ = sound_streams(format(), -1);
    const auto found = std::find_if(streams_.begin(), streams_.end(), [&](const SoundStream& stream) {
        return wanted ? stream.ordinal == *wanted : stream.preset;
    });
    if (streams_.empty() || (!wanted && found == streams_.end()))
        return clip_error(Category::bad_input, base::looked_up_word(kNoSound), path);
    if (found == streams_.end()) {
        return clip_error(Category::bad_input,
                          base::worded("There is no sound stream {}; the file has streams 0 to {}.", *wanted,
                                       streams_.size() - 1),
                          path);
    }
    chosen_ = static_cast<std::size_t>(found - streams_.begin());
    if (found->time_base.num <= 0 || found->time_base.den <= 0)
        return clip_error(Category::damaged,
                          base::worded("The sound's times have no unit, so it cannot be placed."), path);
    choose(found->index);
    return {};
}

}  // namespace plumbmark::media
