// The loudness of a clip, read through in the background, for a row of the window.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "base/result.h"
#include "media/sound.h"
#include "media/sound_levels.h"

namespace plumbmark::media {

/// What a scan knows at one moment.
struct SoundScanState {
    enum class Phase {
        reading,
        done,     ///< to the clip's end
        failed,   ///< 'error' says why and from when on; what was read before stays
        stopped,  ///< by stop()
    };
    Phase phase = Phase::reading;
    double progress = 0;  ///< 0 to 1
    SoundRange range;
    std::optional<base::Error> error;
    std::optional<base::Time> until;  ///< how far sound was read; none: nothing yet
};

/// One worker thread a clip, which holds one block of samples at a time. Thread rules: every public function
/// may be called from any thread and returns at once (a lock is held for one block's or one drawing's worth
/// of counting, never over file or decoder work). The wake callback is called on the worker thread at most
/// ten times a second and at the end; it must be short and must not destroy the scan. The destructor stops
/// the work and joins the worker: bounded by one packet's decoding.
class SoundScan {
  public:
    /// The loudness within [begin, end) of the clip's clock, begin < end. A file without sound fails with
    /// bad_input.
    SoundScan(std::filesystem::path path, base::Time begin, base::Time end, std::function<void()> wake = {},
              std::optional<int> stream = {});
    ~SoundScan();
    SoundScan(const SoundScan&) = delete;
    SoundScan& operator=(const SoundScan&) = delete;

    [[nodiscard]] SoundScanState poll() const;
    /// See SoundLevels::columns.
    [[nodiscard]] std::vector<SoundColumn> columns(base::Time from, base::Time to, int count) const;
    void stop();

  private:
    class Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace plumbmark::media
