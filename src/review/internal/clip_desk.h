// One clip of the run as the session works with it: its frame service, a second one for side pictures, and
// the check that the file is the one that was marked.
#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "media/clip_bytes.h"
#include "media/fingerprint.h"
#include "media/frame_service.h"
#include "meet/values.h"
#include "review/clip_search.h"
#include "review/internal/file_watch.h"
#include "review/internal/frame_set.h"
#include "review/internal/repeat_job.h"
#include "review/session.h"

namespace plumbmark::review {

/// Where a clip's file is now: the relative place first, then the last known one. Errors: not_found, io (the
/// drive has not answered within the patience).
[[nodiscard]] base::Result<std::filesystem::path> find_clip_file(const std::filesystem::path& meet_folder,
                                                                 const meet::Clip& clip,
                                                                 const media::Patience& patience);

/// What is said where a clip's file holds something else than the meet knows.
[[nodiscard]] base::Error other_content(const std::string& name, const std::filesystem::path& file);

/// How long the window waits to learn where a file is, before it goes on without knowing.
constexpr std::chrono::milliseconds kGlance{100};

/// "SIZE:HASH", as stored with the clip.
[[nodiscard]] std::string fingerprint_text(const media::Fingerprint& print);

/// Threads: one owner; workers report by 'wake'.
class ClipDesk {
  public:
    /// All clips share the store. Of the options 'wake' and 'may_show' count. 'places' is asked where the
    /// file is not where it was; it is then looked for in the background.
    ClipDesk(const std::filesystem::path& meet_folder, const meet::Clip& clip,
             std::shared_ptr<media::PictureStore> store, const SessionOptions& options,
             const std::function<SearchPlaces()>& places);
    ~ClipDesk();

    /// Takes in what the workers did. True when view() or picture() changed.
    bool poll();
    [[nodiscard]] const ClipView& view() const { return view_; }
    [[nodiscard]] const PictureView& picture() const { return picture_; }
    void request(std::int64_t frame);
    [[nodiscard]] std::int64_t frame() const { return frame_; }
    [[nodiscard]] bool settled() const;
    [[nodiscard]] std::shared_ptr<const media::Picture> side_picture(std::int64_t frame);
    /// The present picture has been on the screen.
    void note_shown() {
        if (picture_.exact) displayed_.add(picture_.frame);
    }
    [[nodiscard]] const FrameSet& displayed() const { return displayed_; }

    /// Whether the file was found elsewhere than where it was.
    [[nodiscard]] bool moved() const { return moved_; }
    /// What the file turned out to be, once, after the scan: fingerprint, frame count and time base.
    [[nodiscard]] std::optional<meet::Clip> take_facts(const meet::Clip& stored);
    void cancel_scan();
    /// Another sound of the same file; other pictures want a new desk.
    void take_sound(const std::optional<int>& stream) { view_.streams.sound = stream; }

    /// Whether the file is the one that was marked, as far as that is known, and was not asked for as a whole
    /// yet.
    [[nodiscard]] bool may_be_read_whole() const;
    void note_asked_for_content() { content_asked_ = true; }
    /// These are true when view() changed.
    bool set_content_progress(double share);
    bool refuse_content(const base::Error& why);
    /// The whole file is another one than the meet knows.
    void tell_other_content();

    /// Whether this clip can be looked through for repeated pictures, and was not yet.
    [[nodiscard]] bool may_look_for_repeats(const meet::Clip& stored) const;
    /// Begins to; rests while 'busy', asked on another thread, says so.
    void look_for_repeats(std::function<bool()> busy);
    [[nodiscard]] bool looking_for_repeats() const { return repeat_job_ != nullptr; }
    /// The clip with what was found, once; none while there is nothing new.
    [[nodiscard]] std::optional<meet::Clip> take_repeats(const meet::Clip& stored);

  private:
    [[nodiscard]] PictureView picture_in(const media::ServiceState& state);
    void start(const std::filesystem::path& file);
    void find_in_background(const meet::Clip& clip, const SearchPlaces& places);
    bool take_found();
    void check_fingerprint(std::stop_token stop);
    void poll_side();
    bool poll_watch();

    const std::string expected_fingerprint_;
    std::shared_ptr<media::PictureStore> store_;
    const std::function<void()> wake_;
    const std::function<bool(const std::shared_ptr<const media::Picture>&)> may_show_;
    std::filesystem::path file_;
    ClipView view_;
    PictureView picture_;
    /// Decoded, and being made ready for the screen. It is waited for, also when the hand has moved on: else
    /// nothing would be seen while it moves.
    std::shared_ptr<const media::Picture> next_picture_;
    std::int64_t next_frame_ = -1;
    std::int64_t frame_ = 0;
    FrameSet displayed_;
    bool facts_taken_ = false;
    std::optional<FileWatch> watch_;
    bool content_asked_ = false;
    std::unique_ptr<media::FrameService> service_;
    std::unique_ptr<media::FrameService> side_service_;
    std::map<std::int64_t, std::shared_ptr<const media::Picture>> side_pictures_;
    std::optional<std::int64_t> side_asked_;

    mutable std::mutex mutex_;
    std::optional<base::Result<media::Fingerprint>> fingerprint_;  // guarded by mutex_
    struct Found {
        base::Result<std::filesystem::path> file;
        bool moved = false;
    };
    std::optional<Found> found_;  // guarded by mutex_
    std::jthread
        finder_;  // while the drive that may hold the file has not answered, and while it is looked for
    bool moved_ = false;
    std::jthread fingerprint_thread_;

    bool looked_ = false;  // through, whatever came of it
    std::unique_ptr<RepeatJob> repeat_job_;
};

}  // namespace plumbmark::review
