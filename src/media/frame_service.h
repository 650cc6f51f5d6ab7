// A clip for the window: scans and decodes on a thread of its own, so that the UI thread never waits.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>

#include "base/result.h"
#include "media/frame_reader.h"
#include "media/frame_table.h"
#include "media/picture.h"

namespace plumbmark::media {

struct ServiceOptions {
    ScanOptions scan = {};  ///< 'progress' and 'stop' are the service's own and ignored here
    ReaderOptions reader = {};
    /// Frames kept ready ahead of the hand when it goes forward; when it goes back the group behind it is
    /// kept as far as the budget allows. 0: nothing is decoded that was not asked for.
    int prefetch = 48;
    /// A table of this clip made before: no scan then.
    std::shared_ptr<const FrameTable> table = nullptr;
    /// Where tables are kept from one opening to the next (media/table_cache.h); empty: nowhere.
    std::filesystem::path cache_folder = {};
};

/// What a service knows at one moment. A snapshot: it does not change after poll() returned it.
struct ServiceState {
    enum class Phase {
        scanning,  ///< the frame table is being built
        ready,     ///< frames can be asked for
        failed,    ///< the clip cannot be used; 'error' says why
    };
    Phase phase = Phase::scanning;
    double progress = 0;                      ///< of the scan, 0 to 1
    std::shared_ptr<const FrameTable> table;  ///< null until ready
    std::int64_t requested = -1;              ///< newest request, -1: none yet
    std::int64_t frame = -1;                  ///< number of 'picture', or of the frame that 'error' speaks of
    /// What to show: the frame asked for once it is there; until then a stand-in, the nearest one at hand.
    /// While scanning it is the first picture of the clip, whose number is not known yet.
    std::shared_ptr<const Picture> picture;
    std::int64_t picture_frame = -1;   ///< number of 'picture'; -1 while there is none or it is not known
    std::optional<base::Error> error;  ///< of the newest answer; none when it was a picture
    std::uint64_t answers = 0;         ///< grows with each answer (picture or error)
    /// True when the newest request has its answer.
    [[nodiscard]] bool settled() const { return requested == frame; }
};

/// One worker thread a clip. Thread rules: every public function may be called from any thread and returns at
/// once (a lock is held for the copying of a few pointers only, never over file or decoder work). The wake
/// callback is called on the worker thread after each change of state that it made, without any lock held; it
/// must be short (post an event) and must not destroy the service. What request() can answer at once it does,
/// and poll() shows it when request() has returned, without a wake-up. The destructor cancels running work
/// and joins the worker: bounded by one packet's decoding.
class FrameService {
  public:
    using State = ServiceState;

    explicit FrameService(std::filesystem::path path, std::function<void()> wake = {},
                          ServiceOptions options = {});
    ~FrameService();
    FrameService(const FrameService&) = delete;
    FrameService& operator=(const FrameService&) = delete;

    /// Asks for a frame; the newest request wins, and work for older ones is given up unless it brings this
    /// one too. May be called while scanning: served when the table stands. A number outside the clip is
    /// answered with bad_input.
    void request(std::int64_t frame_number);
    /// The picture of a frame when it is kept; null otherwise. Asks for nothing.
    [[nodiscard]] std::shared_ptr<const Picture> kept(std::int64_t frame_number) const;
    [[nodiscard]] State poll() const;
    /// The same as poll().
    [[nodiscard]] State latest() const { return poll(); }
    /// Stops the scan, when it still runs: the state becomes failed with Category::cancelled.
    void cancel_scan();

  private:
    class Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace plumbmark::media
