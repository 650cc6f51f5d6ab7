// Sound beside a playing picture, at real time: it follows the picture's clock, never the other way round.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>

#include "base/time.h"
#include "media/sound_device.h"

namespace plumbmark::media {

/// Plays a sound stream of a clip so that what is heard is what belongs to the picture on the
/// screen. Between 5 and 40 ms of difference it plays up to half a percent faster or slower until the two
/// agree within 1 ms; beyond 40 ms it fades out and goes on where the picture is. (A viewer notices sound
/// that comes 45 ms early or 125 ms late: Recommendation ITU-R BT.1359-1, figure 2; from memory.) When the
/// picture stays behind its clock for a quarter of a second the sound falls silent until it goes on. Where
/// there is no device, no sound, or sound that cannot be read, there is silence, and nothing else happens.
///
/// Threads: follow, pause and mute belong to one owner thread and return at once; a worker thread opens the
/// device and the file, decodes up to a second ahead and resamples to the device's rate. The destructor joins
/// it, which waits for the device to let go. Memory: four seconds of stereo at the device's rate.
class SoundPlayer {
  public:
    /// Nanoseconds on a steady clock; called from the device's thread too.
    using Clock = std::function<std::int64_t()>;

    /// 'clock' empty: the machine's steady clock.
    explicit SoundPlayer(std::unique_ptr<SoundDevice> device, Clock clock = {});
    ~SoundPlayer();
    SoundPlayer(const SoundPlayer&) = delete;
    SoundPlayer& operator=(const SoundPlayer&) = delete;

    /// The picture of this clip is at 'position' just now, moving at real time, and stays right until 'next'
    /// (the next picture's time). Call it with every picture; sound begins as soon as the device is ready.
    /// 'stream': SoundStream::ordinal; none: the file's preset one.
    void follow(const std::filesystem::path& clip, base::Time position, base::Time next,
                std::optional<int> stream = {});
    /// Silence; the device is let go.
    void pause();
    void mute(bool muted);
    [[nodiscard]] bool muted() const;

    struct Counters {
        std::int64_t jumps = 0;   ///< times the sound was set to another place
        std::int64_t played = 0;  ///< frames of the clip's sound handed to the device
        std::int64_t missing =
            0;  ///< frames that were due and not there: not decoded yet, or none in the file
    };
    [[nodiscard]] Counters counters() const;

  private:
    class Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace plumbmark::media
