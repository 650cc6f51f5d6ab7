// A mark's own place followed to the frames around, worked out beside the window.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <stop_token>

#include "review/follow_point.h"
#include "review/latest_job.h"

namespace plumbmark::desk {

/// UI thread only; nothing here waits.
class PointDesk {
  public:
    struct Answer {
        meet::MarkId mark;
        meet::Pointed start;
        base::Result<review::PointFollowed> followed;
    };

    explicit PointDesk(std::function<void()> wake) : job_(std::move(wake)) {}
    ~PointDesk() { stop_.request_stop(); }
    PointDesk(const PointDesk&) = delete;
    PointDesk& operator=(const PointDesk&) = delete;

    /// What was asked before and is not known yet is given up.
    void follow(meet::MarkId mark, review::PointToFollow asked);
    /// The answer to what was asked last, once.
    [[nodiscard]] std::optional<Answer> take();
    [[nodiscard]] bool busy() const { return asked_ != known_; }

  private:
    review::LatestJob<Answer> job_;
    std::stop_source stop_;
    std::uint64_t asked_ = 0, known_ = 0;
};

}  // namespace plumbmark::desk
