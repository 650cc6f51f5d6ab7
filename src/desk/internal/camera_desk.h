// Where the cameras of the clips stand, and what is measured through them, worked out beside the window.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "desk/internal/camera_state.h"
#include "review/latest_job.h"
#include "review/run_measures.h"

namespace plumbmark::desk {

/// A frame of a clip, and which state of the meet's cameras it was asked under.
struct CameraPlace {
    meet::ClipId clip;
    std::int64_t frame = -1;
    std::uint64_t cameras = 0;
    friend bool operator==(const CameraPlace&, const CameraPlace&) = default;
};
/// The camera there, or why there is none.
struct CameraSeen {
    CameraPlace place;
    std::shared_ptr<const review::FoundCamera> camera;
    std::optional<base::Error> trouble;
};

/// UI thread only; nothing here waits.
class CameraDesk {
  public:
    explicit CameraDesk(std::function<void()> wake);
    ~CameraDesk() { draft_stop_.request_stop(); }
    CameraDesk(const CameraDesk&) = delete;
    CameraDesk& operator=(const CameraDesk&) = delete;

    /// Asks for what is new and takes in what has come. Once per drawn frame.
    void update(const review::Session& session, const CameraMode& mode);
    /// Another meet is opened.
    void forget() { session_ = nullptr; }

    // --- what is being pointed at ---
    using Found = base::Result<review::FoundCamera>;
    /// Of the places pointed at so far; null where there are too few. May be of a moment ago.
    [[nodiscard]] const Found* draft() const { return draft_.get(); }
    [[nodiscard]] bool drafting() const { return draft_asked_ != draft_known_; }

    // --- the current clip, in the frame on the screen ---
    /// Null while it is not known.
    [[nodiscard]] const review::FoundCamera* camera(const review::Session& session) const;
    /// Why there is none, where somebody has pointed at places of the clip; empty else.
    [[nodiscard]] std::string trouble(const review::Session& session) const;
    /// It is known for the picture on the screen, or there is nothing to know.
    [[nodiscard]] bool settled(const review::Session& session) const;

    // --- what is measured of the run ---
    /// What is marked now is still being measured: the measures are those of before.
    [[nodiscard]] bool measuring() const { return measures_asked_ != measures_known_; }
    [[nodiscard]] const std::vector<review::MarkMeasured>& measures() const;
    /// Of a mark; null where nothing was measured.
    [[nodiscard]] const review::MarkMeasured* measures_of(meet::MarkId mark) const;

    /// Whether the plan is drawn over the picture.
    bool shows_plan = true;

  private:
    using Measures = std::vector<review::MarkMeasured>;

    void update_draft(const review::Session& session, const CameraMode& mode);
    void renew_cameras(const review::Session& session);
    void look(const review::Session& session);
    void measure(const review::Session& session);
    [[nodiscard]] CameraPlace place_of(const review::Session& session) const;
    [[nodiscard]] static bool has_stand(const review::Session& session, meet::ClipId clip);

    review::LatestJob<std::shared_ptr<const Found>> draft_job_;
    review::LatestJob<CameraSeen> seen_job_;
    review::LatestJob<std::shared_ptr<const Measures>> measure_job_;

    std::optional<meet::CameraStand> draft_of_;
    std::shared_ptr<const Found> draft_;
    std::uint64_t draft_asked_ = 0, draft_known_ = 0;
    std::stop_source draft_stop_;  ///< of what is worked out now; looking for a wrong place takes seconds

    const review::Session* session_ = nullptr;  ///< whose cameras these are; never looked into
    meet::RunId run_;
    const course::CourseBook* book_ = nullptr;
    meet::Things<meet::CameraStand> stands_;
    meet::Things<meet::CameraLens> lenses_;
    std::size_t readable_ = 0;
    /// One for each job, as one thread at a time may ask it.
    std::shared_ptr<review::ClipCameras> cameras_, measuring_;
    std::uint64_t number_ = 0;

    CameraPlace wanted_;
    CameraSeen seen_;
    std::uint64_t measured_changes_ = 0, measured_number_ = 0;
    std::uint64_t measures_asked_ = 0, measures_known_ = 0;
    std::shared_ptr<const Measures> measures_;
};

}  // namespace plumbmark::desk
