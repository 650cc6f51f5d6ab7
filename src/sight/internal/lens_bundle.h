// The equations of a lens that is measured with a board: the poses are taken out of them.
#pragma once

#include <stop_token>
#include <vector>

#include "sight/internal/least_squares.h"
#include "sight/lens.h"

namespace plumbmark::sight {

/// How well a pose agrees with a view through a lens, once it has settled.
struct SettledPose {
    Pose pose;
    double sum = 0;  ///< of the squared residuals; infinite where it leads nowhere
    std::vector<double> residuals;
    Dense jacobian;  ///< by turning x, y, z and shift
};
[[nodiscard]] SettledPose settled_pose(const BoardView& view, const Lens& lens, const Pose& from);

/// The lens's own unknowns, in the order of MeasuredLens::kNumbers as far as they are looked for. Not for use
/// by two threads at once; 'views' and 'stop' must outlive it.
class LensBundle {
  public:
    LensBundle(const std::vector<BoardView>& views, const LensForm& form, const Lens& about,
               const std::stop_token& stop);

    /// It remembers the poses that go with the least sum so far, from which those of the next x are settled:
    /// these are the poses of the x at which settle() ends. Once 'stop' is asked for one may stand nowhere.
    [[nodiscard]] Problem problem();
    void begin(std::vector<Pose> poses);
    [[nodiscard]] std::vector<double> begin_at(const Lens& lens) const;
    [[nodiscard]] Lens lens(const std::vector<double>& x) const;
    [[nodiscard]] const std::vector<Pose>& poses() const { return poses_; }
    [[nodiscard]] int redundancy() const;
    /// What is known of the unknowns, as what is known of the ten numbers.
    [[nodiscard]] std::array<double, MeasuredLens::kNumbers * MeasuredLens::kNumbers> widened(
        const Dense& covariance) const;

  private:
    bool residuals(const std::vector<double>& x, std::vector<double>& out, Dense* jacobian);

    const std::vector<BoardView>& views_;
    const std::stop_token& stop_;
    Lens about_;                                    ///< of which the numbers that are not looked for stay
    std::vector<std::vector<std::size_t>> drives_;  ///< for each unknown the numbers that it is
    std::vector<Pose> poses_;
    double least_ = 0;
    int equations_ = 0;
};

}  // namespace plumbmark::sight
