// Where sound goes out: the machine's own sound system, or a twin of it in a test.
#pragma once

#include <functional>
#include <memory>
#include <optional>

#include "base/time.h"

namespace plumbmark::media {

/// One way out for stereo sound. One owner thread for all calls; they may block for as long as the sound
/// system likes (opening takes tenths of a second, a hung sound server seconds), so it is never the window's
/// thread.
class SoundDevice {
  public:
    /// Writes 'frames' pairs (left, right; full scale -1 to 1) to 'pairs'. The first will be heard 'ahead'
    /// from now. Called on a thread of the device's own, which must not wait, allocate or lock.
    using Fill = std::function<void(float* pairs, int frames, base::Duration ahead)>;

    SoundDevice() = default;
    virtual ~SoundDevice() = default;
    SoundDevice(const SoundDevice&) = delete;
    SoundDevice& operator=(const SoundDevice&) = delete;

    /// Samples per second that start() will ask for; none where there is no device now: that is no error. May
    /// be asked again later, when one may have been plugged in.
    [[nodiscard]] virtual std::optional<int> find() = 0;
    /// Begins to call 'fill', which stays valid until stop() returns. False where the device refuses.
    [[nodiscard]] virtual bool start(Fill fill) = 0;
    /// Ends the calls. Nothing happens when it is not started.
    virtual void stop() = 0;
};

/// The machine's default way out (PortAudio). Writes nothing to the terminal, with or without a device; to
/// that end the messages of the sound libraries below it are turned off for the whole process.
[[nodiscard]] std::unique_ptr<SoundDevice> system_sound_device();

}  // namespace plumbmark::media
