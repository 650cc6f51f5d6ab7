// The desk's sound: the loudness of the clips for the run strip, and the sound beside a playing picture.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>

#include "desk/internal/state.h"
#include "media/sound_player.h"
#include "media/sound_scan.h"
#include "review/session.h"

namespace plumbmark::desk {

/// The sound stream that goes with the clip's pictures: the chosen one, else the one that belongs to them by
/// the file's own word; none where there is none.
[[nodiscard]] std::optional<int> sound_of(const review::ClipView& clip);

/// Lives on the UI thread, and never waits there: reading and playing have threads of their own.
class ClipSound {
  public:
    /// Makes the way out for sound when something is played first.
    using MakeDevice = std::function<std::unique_ptr<media::SoundDevice>()>;

    /// 'wake' is called from any thread when there is more of a loudness row to draw.
    explicit ClipSound(std::function<void()> wake, MakeDevice make_device = media::system_sound_device);

    /// Begins to read the current clip's sound; forgets clips that are not of the run; lets sound follow the
    /// picture at real time. 'now' as DeskCore::update's.
    void update(const review::Session& session, const PlayView& play, bool muted, double now);

    /// Null while the clip is not read, and for one without sound.
    [[nodiscard]] const media::SoundScan* of(meet::ClipId clip) const;
    /// Nothing more comes for this clip.
    [[nodiscard]] bool settled(const review::ClipView* clip) const;
    void stop_reading(meet::ClipId clip);

    /// True when a clip of the run has sound: then the run strip has a row for it, on every clip.
    [[nodiscard]] static bool heard_in(const review::Session& session);

  private:
    void play(const review::Session& session, const PlayView& play, bool muted, double now);

    struct Scanned {
        std::filesystem::path file;
        std::optional<int> stream;  ///< see sound_of
        std::unique_ptr<media::SoundScan> scan;
    };
    std::function<void()> wake_;
    MakeDevice make_device_;
    std::map<meet::ClipId, Scanned> scans_;
    std::unique_ptr<media::SoundPlayer> player_;
};

}  // namespace plumbmark::desk
