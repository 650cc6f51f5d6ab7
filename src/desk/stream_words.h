// The streams of a clip's file in words, to choose among them. Pure.
#pragma once

#include <string>

#include "media/clip_info.h"

namespace plumbmark::desk {

/// There is more than one stream of pictures, or more than one of sound.
[[nodiscard]] bool has_choice_of_streams(const media::ClipInfo& info);

/// "pictures 2 · h264 · 1280 x 720 · deu · program 2 'pier b' · 'Deck'": counted from 1, and only what the
/// file says.
[[nodiscard]] std::string stream_words(const media::StreamInfo& stream);
/// "sound 1 · aac · stereo · 48 kHz · eng".
[[nodiscard]] std::string stream_words(const media::SoundStream& stream);

}  // namespace plumbmark::desk
