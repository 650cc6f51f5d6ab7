// Tying the clips of a run by what their cameras hear: proposals, worked out beside the session, and the
// marks that come of those which the reviewer takes.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "base/result.h"
#include "media/frame_table.h"
#include "media/sound_tie.h"
#include "meet/changes.h"
#include "review/session.h"

namespace plumbmark::review {

/// By how much the cameras' distances to what both hear may differ, where nobody says otherwise: the length
/// of a large hall.
inline constexpr double kUsualMetres = 30;
inline constexpr double kMostMetres = 1000;
/// What sound takes for so many metres, rounded up: 343 m/s, air of 20 degrees (ISO 9613-1 has 343.2 m/s,
/// from memory). In air at freezing point it takes 3.5 % longer; the metres are the reviewer's estimate.
[[nodiscard]] base::Duration sound_over(double metres);
/// Metres as a person writes them ("30", "12.5"): 0 to kMostMetres. Error bad_input.
[[nodiscard]] base::Result<double> read_metres(const std::string& text);

/// A clip of the run as the tying wants it.
struct TieClip {
    meet::Clip clip;
    std::filesystem::path file;                      ///< empty: not found
    std::shared_ptr<const media::FrameTable> table;  ///< none: not read
};
/// The clips of the session's run, in its order.
[[nodiscard]] std::vector<TieClip> clips_to_tie(const Session& session);

/// What became of two clips.
struct TieProposal {
    TieClip first, second;
    media::SoundTieOutcome outcome;
    std::optional<base::Error> error = {};  ///< one of the two cannot be read, or has no real time
};

/// Compares clip 'with' to each other one; none: each pair. Slow motion is refused with a sentence, as its
/// sound is not that of its pictures' time. Error cancelled. Blocks; any thread.
[[nodiscard]] base::Result<std::vector<TieProposal>> propose_ties(
    const std::vector<TieClip>& clips, meet::ClipId with, const std::stop_token& stop = {},
    const std::function<void(double)>& progress = {});

/// How far off the tie may be, either way: what the correlation leaves open, and the sound's way.
[[nodiscard]] base::Duration bound_of(const media::SoundTie& tie, double metres);
/// "camera B is 0.412 s later (± 91 ms, by sound)": what both show stands so much later on its clock.
[[nodiscard]] base::Sentence tie_words(const TieProposal& proposal, double metres);

/// The mark of a tie that was taken: a moment, on the first clip between the two frames around it, on the
/// second between the last frame before all that the bound allows and the first after it, with a note that
/// says how it came about. A moment that lies outside the pictures is moved to where both have some. Errors:
/// bad_input, where the pictures of the two have no moment in common, or nothing was tied. Pure.
[[nodiscard]] base::Result<meet::Mark> mark_of(const TieProposal& proposal, meet::RunId run, meet::MarkId id,
                                               double metres);
/// One change that adds the marks of all these; those that tie nothing are left out. Errors as mark_of.
[[nodiscard]] base::Result<meet::Change> kept_ties(const meet::State& state, meet::RunId run,
                                                   const std::vector<TieProposal>& proposals, double metres);

/// Works proposals out in the background. Threads: made, asked and destroyed by one owner; the work has a
/// thread of its own, which calls 'wake' now and then and when it is done. The destructor stops it, which
/// takes a moment.
class SoundTieJob {
  public:
    SoundTieJob(std::vector<TieClip> clips, meet::ClipId with, std::function<void()> wake);
    ~SoundTieJob();
    SoundTieJob(const SoundTieJob&) = delete;
    SoundTieJob& operator=(const SoundTieJob&) = delete;

    [[nodiscard]] double progress() const { return progress_.load(std::memory_order_relaxed); }
    /// The answer, once.
    [[nodiscard]] std::optional<base::Result<std::vector<TieProposal>>> take();

  private:
    void work(const std::stop_token& stop);

    const std::vector<TieClip> clips_;
    const meet::ClipId with_;
    const std::function<void()> wake_;
    std::atomic<double> progress_{0};
    std::mutex mutex_;
    std::optional<base::Result<std::vector<TieProposal>>> answer_;  // guarded by mutex_
    std::jthread thread_;
};

}  // namespace plumbmark::review
