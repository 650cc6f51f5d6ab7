// The equations of a calibration: pictures and measures over their standard deviations, and their
// derivatives.
#pragma once

#include <vector>

#include "sight/calibrate.h"
#include "sight/internal/least_squares.h"

namespace plumbmark::sight {

/// What is looked for, in one row of numbers: as CalibratedCamera::covariance has it, then for each point of
/// each edge how far along the edge it lies (0 at 'from', 1 at 'to').
class Bundle {
  public:
    explicit Bundle(const Sightings& sightings);

    [[nodiscard]] Problem problem() const;
    /// From a pose and a focal length; the places as measured.
    [[nodiscard]] std::vector<double> begin(const Pose& pose, double focal) const;
    [[nodiscard]] Camera camera(const std::vector<double>& x) const;
    [[nodiscard]] Vec3 place(const std::vector<double>& x, std::size_t place) const;
    /// Equations of the pictures stand first: two for each point, then two for each point of each edge.
    [[nodiscard]] std::size_t seen() const { return seen_; }
    [[nodiscard]] std::size_t unknowns() const { return along_ + seen_on_edges_; }
    /// Equations beyond the unknowns.
    [[nodiscard]] int redundancy() const;

  private:
    struct Row {
        std::size_t from, to;
        Pixel at;
        double standard;
    };
    bool residuals(const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) const;
    bool picture_rows(const std::vector<double>& x, std::size_t n, std::vector<double>& out,
                      Dense* jacobian) const;
    void prior_rows(const std::vector<double>& x, std::vector<double>& out, Dense* jacobian) const;

    Sightings sightings_;
    std::vector<Row> rows_;  ///< points (from == to), then points of edges
    std::size_t seen_ = 0, seen_on_edges_ = 0, along_ = 0;
    Lens base_;  ///< what does not change, and about which the rest is spread
    double focal_middle_ = 0, focal_spread_ = 0, principal_spread_ = 0, k1_spread_ = 0;
};

/// An axis turned on by a small step on the camera's side.
[[nodiscard]] Vec3 turned_on(Vec3 axis, Vec3 step);

}  // namespace plumbmark::sight
